import { clearGap, type DragCurve, type GardenDrift } from "../garden/mod.ts";
import { counted } from "../numbers/mod.ts";
import { inReadingOrder, pairLabel, resultOf } from "./_garden_labels.ts";
import { type Shown, type Stated, stated, table } from "./show.ts";

/**
 * Shows the half gap and the clear gap of every pair of objects, a row a pair, with trials, blocks and what to lay next; the numbers are
 * recorded as `garden.halfGapCm`, `garden.clearGapCm`, `garden.pairTrials` and `garden.pairBlocks`.
 *
 * @example
 * ```ts
 * import { driftOfTrials, gardenHalfGapTable } from "overiron";
 * const shown = gardenHalfGapTable(driftOfTrials({ machines: [], settings: [], trials: [] }), []);
 * if (shown.recorded.results.length !== 0) throw new Error("no pair, no number");
 * ```
 */
export function gardenHalfGapTable(drift: GardenDrift, curves: readonly DragCurve[]): Shown {
  const rows = inReadingOrder(curves).map((curve): (Stated | string)[] => {
    const of = resultOf(curve);
    const half = curve.halfGapCm, clear = clearGap(drift, curve);
    const why = "absent" in half ? half.reason : "absent" in clear ? `Clear gap: ${clear.reason}` : "";
    return [
      curve.pair.machine,
      pairLabel(curve.pair),
      stated("garden.halfGapCm", of, half, { form: "interval", decimals: 1 }),
      stated("garden.clearGapCm", of, clear, { form: "interval", decimals: 1 }),
      stated("garden.pairTrials", of, counted(curve.n.trials ?? 0, { trials: curve.n.trials ?? 0 })),
      stated("garden.pairBlocks", of, counted(curve.n.blocks ?? 0, { blocks: curve.n.blocks ?? 0 })),
      why,
    ];
  });
  return table({
    caption: "Half gap and clear gap of each pair of objects as laid, with their intervals",
    columns: [
      "Machine",
      "Target + neighbour",
      "Half gap",
      "Clear gap",
      "Trials",
      "Blocks",
      "Why, and what to lay next",
    ],
    rows,
  });
}
