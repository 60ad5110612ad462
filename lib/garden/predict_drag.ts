import { studentQuantile } from "../numbers/mod.ts";
import { dragAt } from "./_drag_fit.ts";
import { formStretch } from "./_form_error.ts";
import type { DragCurve } from "./drag_curve.ts";

/** A fitted curve at one gap, at the curve's reference depth; the band is null where no interval exists. */
export interface PredictedDrag {
  readonly gap_cm: number;
  readonly drag: number;
  readonly band: { readonly low: number; readonly high: number } | null;
}

/**
 * Gives the fitted drag at some gaps, with its 95 % band, or an empty list where there is no curve.
 *
 * The band is pointwise: cluster-robust t on the logit, from the joint covariance of q and s, widened by the factor that widens the interval of q for the form's own
 * error (`fitDragCurves`), mapped through the curve: it crosses one half where the half gap's interval ends. It is null
 * under four blocks, and where all drags lie so near 0 or 1 that q has no finite standard error. Throws RangeError for a gap
 * that is below 0 or not finite.
 *
 * @example
 * ```ts
 * import { driftOfTrials, fitDragCurves, predictDrag } from "overiron";
 * const curves = fitDragCurves(driftOfTrials({ machines: [], settings: [], trials: [] }));
 * if (curves.flatMap((curve) => predictDrag(curve, [1, 2])).length !== 0) throw new Error("no curve, no prediction");
 * ```
 */
export function predictDrag(curve: DragCurve, gaps_cm: readonly number[]): readonly PredictedDrag[] {
  const bad = gaps_cm.find((gap) => !(gap >= 0 && gap < Infinity));
  if (bad !== undefined) {
    throw new RangeError(`Cannot predict drag: gaps must be finite and 0 or above, got ${bad}`);
  }
  const { fit, touching_cm } = curve;
  if (fit === null) return [];
  const eta = (gap: number): number => (fit.qCm2 - (gap + touching_cm) ** 2) / fit.sCm2;
  const wide = fit.covariance === null
    ? null
    : studentQuantile(0.975, fit.degreesOfFreedom) * formStretch(fit.sCm2, fit.covariance[0][0]);
  return gaps_cm.map((gap_cm) => {
    const at = eta(gap_cm);
    if (wide === null) return { gap_cm, drag: dragAt(at), band: null };
    const [[qq, qs], [, ss]] = fit.covariance!;
    const byQ = 1 / fit.sCm2;
    const error = Math.sqrt(Math.max(0, byQ * byQ * qq - 2 * byQ * at * qs + at * at * ss));
    const half = wide * error;
    return { gap_cm, drag: dragAt(at), band: { low: dragAt(at - half), high: dragAt(at + half) } };
  });
}
