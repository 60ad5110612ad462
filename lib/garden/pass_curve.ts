import {
  absent,
  type Counts,
  type Estimate,
  firthLogistic,
  present,
  studentQuantile,
} from "../numbers/mod.ts";

/** The passes of one trial and what some of them did. */
export interface PassCount {
  readonly trial_id: string;
  readonly block: string;
  readonly gap_cm: number;
  /** Passes that did it, of all passes of the trial, both directions. */
  readonly hits: number;
  readonly passes: number;
}

/** A logistic curve of a share of passes against the gap; the trial is the unit. */
export interface PassCurve {
  /** Log odds at a gap of 0, and their change for a centimetre. */
  readonly intercept: number;
  readonly perCm: number;
  /** Of the two, robust to what a block shares; null under four blocks. */
  readonly covariance: readonly (readonly number[])[] | null;
  readonly degreesOfFreedom: number;
  /** Whether one gap tells all passes apart: without the penalty the curve would be a step. */
  readonly separated: boolean;
}

/** Fits the curve; a reason in words where there is none. */
export function fitPassCurve(counts: readonly PassCount[]): PassCurve | string {
  const gaps = new Set(counts.map((each) => each.gap_cm)).size;
  const blocks = new Set(counts.map((each) => each.block)).size;
  if (counts.length > 0 && counts.every((each) => each.hits === 0)) return "No pass did, at any gap";
  if (counts.length > 0 && counts.every((each) => each.hits === each.passes)) {
    return "Every pass did, at every gap";
  }
  if (gaps < 3) return `A curve against the gap needs 3 distinct gaps, this pair has ${gaps}`;
  const fit = firthLogistic(
    [counts.map((each) => each.gap_cm)],
    counts.map((each) => each.hits / each.passes),
    { cluster: counts.map((each) => each.block) },
  );
  if (fit.status !== "converged") return fit.reason;
  return {
    intercept: fit.coefficients[0]!,
    perCm: fit.coefficients[1]!,
    covariance: blocks < 4 ? null : fit.robustCovariance,
    degreesOfFreedom: blocks - 1,
    separated: fit.separated,
  };
}

/**
 * Gives the share of passes that a curve expects at a gap, 0 to 1, with its 95 % interval: cluster-robust t on the log odds, mapped.
 *
 * Absent without a curve and under four blocks. Throws RangeError for a gap that is below 0 or not finite.
 *
 * @example
 * ```ts
 * import { isPresent, passShareAt } from "overiron";
 * const curve = { intercept: 0, perCm: -1, covariance: [[0.1, 0], [0, 0.01]], degreesOfFreedom: 5, separated: false };
 * const share = passShareAt(curve, 0, { n: { trials: 12 } });
 * if (!isPresent(share) || share.value !== 0.5) throw new Error("wrong");
 * ```
 */
export function passShareAt(
  curve: PassCurve | string,
  gap_cm: number,
  options: { readonly n: Counts },
): Estimate {
  const { n } = options;
  if (!(gap_cm >= 0 && gap_cm < Infinity)) {
    throw new RangeError(`Cannot give a share of passes: gap must be finite and 0 or above, got ${gap_cm}`);
  }
  if (typeof curve === "string") return absent("no curve", curve, n);
  const { covariance: v, degreesOfFreedom: df } = curve;
  if (v === null) return absent("too few blocks", `An interval needs 4 blocks, got ${df + 1}`, n);
  const at = curve.intercept + curve.perCm * gap_cm;
  const variance = v[0]![0]! + 2 * gap_cm * v[0]![1]! + gap_cm ** 2 * v[1]![1]!;
  const half = studentQuantile(0.975, df) * Math.sqrt(Math.max(0, variance));
  const share = (eta: number) => 1 / (1 + Math.exp(-eta));
  const method = `Firth's logistic regression by trial, cluster-robust t, ${df} df`;
  return present(share(at), { low: share(at - half), high: share(at + half), level: 0.95, method }, n);
}
