import { type DragCurve, driftByGap, type GardenDrift, localDrift } from "../garden/mod.ts";
import type { Estimate } from "../numbers/mod.ts";
import { inReadingOrder, neighbourLabel, resultOf, wholeUnits, withoutUnit } from "./_garden_labels.ts";
import { type Shown, type Stated, stated, table } from "./show.ts";

/**
 * Shows the drift at every gap laid, a row a gap and a column a neighbour, for the pairs of one machine and target; the numbers are
 * recorded as `garden.driftAtGap`.
 *
 * Drifts are those of `localDrift`, and where a pair has no curve the plain means of `driftByGap`. A gap at which a neighbour was not laid has a
 * dash. Throws RangeError unless all curves are of one machine and one target.
 *
 * @example
 * ```ts
 * import { driftOfTrials, gardenDriftTable } from "overiron";
 * let refused = false;
 * try {
 *   gardenDriftTable(driftOfTrials({ machines: [], settings: [], trials: [] }), []);
 * } catch (error) {
 *   refused = error instanceof RangeError;
 * }
 * if (!refused) throw new Error("nothing to show");
 * ```
 */
export function gardenDriftTable(drift: GardenDrift, curves: readonly DragCurve[]): Shown {
  const shown = inReadingOrder(curves);
  const subjects = new Set(shown.map((curve) => JSON.stringify([curve.pair.machine, curve.pair.target])));
  if (subjects.size !== 1) {
    throw new RangeError(
      `Cannot show drift by gap: need the pairs of one machine and target, got ${subjects.size}`,
    );
  }
  const { machine, target } = shown[0]!.pair;
  const means = driftByGap(drift);
  const drifts = shown.map((curve) => {
    const at = new Map<number, Estimate>(
      means.filter((each) => each.pair.key === curve.pair.key).map((each) => [each.gap_cm, each.drift]),
    );
    for (const local of localDrift(drift, curve)) at.set(local.gap_cm, local.drift);
    return at;
  });
  const gaps = [...new Set(drifts.flatMap((at) => [...at.keys()]))].sort((a, b) => a - b);
  const rows = gaps.map((gap_cm): (Stated | string)[] => [
    `${gap_cm} cm`,
    ...shown.map((curve, i) => {
      const estimate = drifts[i]!.get(gap_cm);
      const of = { ...resultOf(curve), gap_cm: String(gap_cm) };
      const options = { form: "interval" as const, ...wholeUnits(curve.pair) };
      return estimate === undefined
        ? "\u2013"
        : withoutUnit(stated("garden.driftAtGap", of, estimate, options));
    }),
  ]);
  const depths = [...new Set(shown.map((curve) => curve.depth_cm))];
  const deep = depths.length === 1 && depths[0] !== null ? `, target ${depths[0]} cm deep` : "";
  return table({
    caption:
      `Drift of the ${target} on ${machine} in reading units${deep}: what the trials at and near each gap gave, with its interval`,
    columns: ["Gap", ...shown.map((curve) => neighbourLabel(curve.pair))],
    rows,
  });
}
