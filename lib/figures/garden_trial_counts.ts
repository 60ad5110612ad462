import type { GardenDrift } from "../garden/mod.ts";
import { counted } from "../numbers/mod.ts";
import { say, show, type Shown, stated, tally } from "./show.ts";

/**
 * Says what trials the garden holds, what their clean and neighbour readings rest on, and what was set aside and why; recorded as `garden.trials`,
 * `garden.blocks`, `garden.silentReadings`, `garden.readings` and the count table `garden.setAside`.
 *
 * @example
 * ```ts
 * import { driftOfTrials, gardenTrialCounts } from "overiron";
 * const shown = gardenTrialCounts(driftOfTrials({ machines: [], settings: [], trials: [] }));
 * if (shown.recorded.results.some((each) => "absent" in each)) throw new Error("counts always exist");
 * ```
 */
export function gardenTrialCounts(drift: GardenDrift): Shown {
  const { counts, rows, silent, setAside } = drift;
  const trials = (kind: string, n: number) =>
    stated("garden.trials", { kind }, counted(n, { trials: counts.trials }), { form: "value" });
  const weaker =
    rows.filter((row) =>
      row.cleanFrom !== "same block" || (row.neighbourFrom !== null && row.neighbourFrom !== "same block")
    ).length;
  const noDrag = rows.filter((row) => row.noDrag !== null);
  const readings = (kind: string, n: number) =>
    stated("garden.readings", { kind }, counted(n, { readings: rows.length }), { form: "value" });
  const sentences = say`The log holds ${trials("all", counts.trials)} trials in ${
    stated("garden.blocks", {}, counted(counts.blocks, { trials: counts.trials }), { form: "value" })
  } blocks: ${trials("together", counts.together)} of a target beside a neighbour, ${
    trials("target alone", counts.targetAlone)
  } of a target alone and ${
    trials("neighbour alone", counts.neighbourAlone)
  } of a neighbour alone. They give ${readings("all", rows.length)} drifts, one a trial and direction; ${
    readings("weaker controls", weaker)
  } of them rest on weaker controls than the same block's, and ${
    stated("garden.silentReadings", {}, counted(silent.length, { trials: counts.together }), {
      form: "value",
    })
  } directions were silent, which is counted and never read as a number.`;
  const reasons = [
    ...setAside.flatMap((each) => each.direction === "both" ? [each.reason, each.reason] : [each.reason]),
    ...noDrag.map((row) => `${row.noDrag} (drift kept, no drag)`),
  ];
  if (reasons.length === 0) return sentences;
  const kinds = [...new Set(reasons)].sort();
  return show(
    sentences,
    tally({
      id: "garden.setAside",
      unit: "readings",
      caption: "Set aside, and why: readings of a trial and direction",
      rowTitle: "Reason",
      rows: kinds,
      columns: ["set aside"],
      counts: kinds.map((kind) => [reasons.filter((reason) => reason === kind).length]),
    }),
  );
}
