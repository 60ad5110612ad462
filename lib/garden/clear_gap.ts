import { absent, type Estimate, isPresent, present } from "../numbers/mod.ts";
import type { DragCurve } from "./drag_curve.ts";
import { widerGaps } from "./_lay_next.ts";
import { fittedDrift } from "./fitted_drift.ts";
import { predictDrag } from "./predict_drag.ts";

const stepsPerCm = 100;

/**
 * Gives the clear gap of a pair in cm: the gap beyond which the 95 % interval of the fitted drift lies within `tolerance` reading units of 0
 * (see `readingTolerance`).
 *
 * The value is found to 0.01 cm between 0 and the widest gap laid, never beyond it. By its definition it is the upper end of its own
 * interval; the lower end is the gap beyond which the interval of the drift no longer lies wholly outside the tolerance. Absent, "cannot
 * tell yet", where the drift at the widest gap laid is not surely that small, and where the curve has no band.
 * Throws RangeError unless the tolerance is finite and above 0.
 *
 * @example
 * ```ts
 * import { clearGap, driftOfTrials, fitDragCurves } from "overiron";
 * const curves = fitDragCurves(driftOfTrials({ machines: [], settings: [], trials: [] }));
 * if (curves.map((curve) => clearGap(curve, 4)).length !== 0) throw new Error("nothing was laid");
 * ```
 */
export function clearGap(curve: DragCurve, tolerance: number): Estimate {
  if (!(tolerance > 0 && tolerance < Infinity)) {
    throw new RangeError(`Cannot find clear gap: tolerance must be finite and above 0, got ${tolerance}`);
  }
  const widest = Math.max(0, ...curve.gaps.map((each) => each.gap_cm));
  const end = fittedDrift(curve, widest);
  if (!isPresent(end)) return absent("cannot tell yet", end.reason, curve.n);
  const size = Math.abs(curve.apart!);
  const farthest = Math.max(Math.abs(end.interval.low), Math.abs(end.interval.high));
  if (farthest > tolerance) {
    const reason = `At the widest gap laid, ${widest} cm, the drift may still be ${
      farthest.toFixed(1)
    } reading units, and ${tolerance} would count as clear`;
    return absent("cannot tell yet", `${reason}. ${widerGaps(curve.gaps)}`, curve.n);
  }
  const gaps = [...Array.from({ length: Math.ceil(widest * stepsPerCm) }, (_, k) => k / stepsPerCm), widest];
  const bands = predictDrag(curve, gaps).map((at) => at.band!);
  const firstWithin = (limit: "low" | "high"): number => {
    let k = gaps.length - 1;
    while (k > 0 && bands[k - 1]![limit] * size <= tolerance) k--;
    return gaps[k]!;
  };
  const value = firstWithin("high");
  return present(value, {
    low: firstWithin("low"),
    high: value,
    level: 0.95,
    method: `band of the fitted curve, cluster-robust t, ${
      curve.fit!.degreesOfFreedom
    } df; the value is its upper end`,
  }, curve.n);
}
