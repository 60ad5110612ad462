import { type DragCurve, fittedDrift } from "../garden/mod.ts";
import { inReadingOrder, neighbourLabel, resultOf, wholeUnits, withoutUnit } from "./_garden_labels.ts";
import { type Shown, type Stated, stated, table } from "./show.ts";

/**
 * Shows the fitted drift at every gap laid, a row a gap and a column a neighbour, for the pairs of one machine and target; the numbers are
 * recorded as `garden.driftAtGap`.
 *
 * A gap at which a neighbour was not laid has a dash. Throws RangeError unless all curves are of one machine and one target.
 *
 * @example
 * ```ts
 * import { gardenDriftTable } from "overiron";
 * let refused = false;
 * try {
 *   gardenDriftTable([]);
 * } catch (error) {
 *   refused = error instanceof RangeError;
 * }
 * if (!refused) throw new Error("nothing to show");
 * ```
 */
export function gardenDriftTable(curves: readonly DragCurve[]): Shown {
  const shown = inReadingOrder(curves);
  const subjects = new Set(shown.map((curve) => JSON.stringify([curve.pair.machine, curve.pair.target])));
  if (subjects.size !== 1) {
    throw new RangeError(
      `Cannot show drift by gap: need the pairs of one machine and target, got ${subjects.size}`,
    );
  }
  const { machine, target } = shown[0]!.pair;
  const gaps = [...new Set(shown.flatMap((curve) => curve.gaps.map((each) => each.gap_cm)))].sort((a, b) =>
    a - b
  );
  const rows = gaps.map((gap_cm): (Stated | string)[] => [
    `${gap_cm} cm`,
    ...shown.map((curve) =>
      curve.gaps.some((each) => each.gap_cm === gap_cm)
        ? withoutUnit(
          stated(
            "garden.driftAtGap",
            { ...resultOf(curve), gap_cm: String(gap_cm) },
            fittedDrift(curve, gap_cm),
            {
              form: "interval",
              ...wholeUnits(curve.pair),
            },
          ),
        )
        : "\u2013"
    ),
  ]);
  const depths = [...new Set(shown.map((curve) => curve.depth_cm))];
  const deep = depths.length === 1 && depths[0] !== null ? `, target ${depths[0]} cm deep` : "";
  return table({
    caption:
      `Drift of the ${target} on ${machine} in reading units${deep}: what the fitted curve says at each gap laid, with its interval`,
    columns: ["Gap", ...shown.map((curve) => neighbourLabel(curve.pair))],
    rows,
  });
}
