import { type DragCurve, driftByGap, type GardenDrift } from "../garden/mod.ts";
import { counted } from "../numbers/mod.ts";
import { inReadingOrder, pairLabel, resultOf, wholeUnits, withoutUnit } from "./_garden_labels.ts";
import { type Shown, type Stated, stated, table } from "./show.ts";

/**
 * Shows what the trials themselves gave at each gap, before any curve: mean drift over blocks with its interval and the number of trials; recorded
 * as `garden.meanDriftAtGap` and `garden.trialsAtGap`.
 *
 * @example
 * ```ts
 * import { driftOfTrials, gardenMeanDriftTable } from "overiron";
 * const shown = gardenMeanDriftTable(driftOfTrials({ machines: [], settings: [], trials: [] }), []);
 * if (shown.recorded.results.length !== 0) throw new Error("no trial, no number");
 * ```
 */
export function gardenMeanDriftTable(drift: GardenDrift, curves: readonly DragCurve[]): Shown {
  const means = driftByGap(drift);
  const rows = inReadingOrder(curves).flatMap((curve) =>
    means.filter((each) => each.pair.key === curve.pair.key).map((each): (Stated | string)[] => {
      const of = { ...resultOf(curve), gap_cm: String(each.gap_cm) };
      const trials = each.drift.n.trials ?? 0;
      return [
        pairLabel(curve.pair),
        `${each.gap_cm} cm`,
        withoutUnit(
          stated("garden.meanDriftAtGap", of, each.drift, { form: "interval", ...wholeUnits(curve.pair) }),
        ),
        stated("garden.trialsAtGap", of, counted(trials, { trials })),
      ];
    })
  );
  return table({
    caption:
      "Mean drift of the trials at each gap, in reading units, with its interval over blocks, all depths together",
    columns: ["Target + neighbour", "Gap", "Mean drift", "Trials"],
    rows,
  });
}
