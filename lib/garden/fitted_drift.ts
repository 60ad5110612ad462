import { absent, type Estimate, present } from "../numbers/mod.ts";
import type { DragCurve } from "./drag_curve.ts";
import { predictDrag } from "./predict_drag.ts";

/**
 * Gives the drift that a fitted curve shows at one gap, in reading units: fitted drag times the median difference between clean and
 * neighbour's reading. 95 % interval: the curve's band; the two readings by themselves are taken as known. Absent where there is
 * no curve or no band. Throws RangeError for a gap that is below 0 or not finite.
 *
 * @example
 * ```ts
 * import { driftOfTrials, fitDragCurves, fittedDrift } from "overiron";
 * const curves = fitDragCurves(driftOfTrials({ machines: [], settings: [], trials: [] }));
 * if (curves.map((curve) => fittedDrift(curve, 2)).length !== 0) throw new Error("nothing was laid");
 * ```
 */
export function fittedDrift(curve: DragCurve, gap_cm: number): Estimate {
  const [at] = predictDrag(curve, [gap_cm]);
  const { apart, n } = curve;
  if (at === undefined || apart === null) {
    const why = "absent" in curve.halfGapCm ? curve.halfGapCm.reason : "No curve could be fitted";
    return absent("no curve", why, n);
  }
  if (at.band === null) {
    return absent(
      "no interval",
      "The curve has no band: too few blocks, or all drags lie near 0 or near 1",
      n,
    );
  }
  const limits = [at.band.low * apart, at.band.high * apart];
  return present(at.drag * apart, {
    low: Math.min(...limits),
    high: Math.max(...limits),
    level: 0.95,
    method: `band of the fitted curve, cluster-robust t, ${
      Number(curve.fit!.degreesOfFreedom.toFixed(1))
    } df, with the form's own error`,
  }, n);
}
