import type { CleanByTogether } from "../tones/mod.ts";
import { show, type Shown } from "./show.ts";
import { tonesShareTable } from "./tones_share_table.ts";
import { tonesTally } from "./tones_tally.ts";

/**
 * Shows the count tables of one machine's trials: band clean by band beside a neighbour, for all trials (with shares), by gap, by
 * neighbour, by side where there are several, and for single passes.
 *
 * @example
 * ```ts
 * import { cleanByTogether, tonesCleanTallies } from "overiron";
 * const shown = cleanByTogether({ machines: [], settings: [], trials: [] }).map(tonesCleanTallies);
 * if (shown.length !== 0) throw new Error("no trials, no tables");
 * ```
 */
export function tonesCleanTallies(one: CleanByTogether): Shown {
  const rowTitle = "clean";
  const id = "tones.cleanByTogether";
  return show(
    tonesTally(one.trials, {
      id,
      caption: "All trials: band clean (rows) by band beside the neighbour",
      rowTitle,
    }),
    tonesShareTable(one.trials, {
      caption: "All trials: shares of each row, with Wilson's intervals, trials taken as independent",
      rowTitle,
      compared: "clean and together",
    }),
    ...one.byGap.map(({ gap, table }) => tonesTally(table, { id, caption: `Trials, gap ${gap}`, rowTitle })),
    ...one.byNeighbour.map(({ neighbour, table }) =>
      tonesTally(table, { id, caption: `Trials, all gaps, neighbour ${neighbour}`, rowTitle })
    ),
    ...(one.bySide.length > 1
      ? one.bySide.map(({ side, table }) =>
        tonesTally(table, { id, caption: `Trials, all gaps, neighbour ${sideWords(side)}`, rowTitle })
      )
      : []),
    tonesTally(one.passes, {
      id: "tones.passesCleanByTogether",
      caption: "Single passes: band clean by the pass's own band",
      rowTitle,
    }),
  );
}

const sideWords = (side: string): string =>
  side === "both"
    ? "on both sides"
    : side === "left" || side === "right"
    ? `on the ${side}`
    : side === "side not logged"
    ? side
    : `${side} the target`;
