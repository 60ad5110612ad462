import { checkCount, checkLevel } from "./_check_values.ts";
import { type Absent, absent, type Estimate, present } from "./estimate.ts";
import { normalQuantile } from "./normal_distribution.ts";
import { shareEstimate } from "./share_estimate.ts";

/** Cases with one answer of the test: all of them, and those looked into, by what they turned out to be. */
export interface VerifiedCounts {
  readonly total: number;
  readonly verifiedYes: number;
  readonly verifiedNo: number;
}

export interface VerificationBiasOptions {
  /** Cases that the test called no. */
  readonly calledNo: VerifiedCounts;
  /** Level, above 0 and below 1. Default 0.95. */
  readonly level?: number;
}

/** A test's rates, freed from the bias of looking more often into cases that it called yes. */
export interface VerificationBiasResult {
  readonly sensitivity: Estimate;
  readonly specificity: Estimate;
  readonly prevalence: number;
  readonly positivePredictiveValue: Estimate;
  readonly negativePredictiveValue: Estimate;
  /** Sensitivity and specificity among the verified cases alone. */
  readonly naiveSensitivity: number;
  readonly naiveSpecificity: number;
  /** Large-sample variances of the corrected rates. */
  readonly sensitivityVariance: number;
  readonly specificityVariance: number;
}

/**
 * Corrects sensitivity and specificity for cases that were looked into more or less often according to what the test called them.
 *
 * @param calledYes Cases that the test called yes: verified ones at most the total.
 * @returns Rates, 0 to 1, with logit intervals; absent where one of the four verified counts is 0. It holds where, given the call, it was
 * chance which cases were looked into.
 *
 * Source: Begg and Greenes (1983), Biometrics 39:207-215.
 * Throws RangeError for counts that are not whole numbers or contradict each other.
 *
 * @example
 * ```ts
 * import { correctVerificationBias } from "overiron";
 * const yes = { total: 429, verifiedYes: 231, verifiedNo: 32 }, no = { total: 221, verifiedYes: 27, verifiedNo: 54 };
 * const result = correctVerificationBias(yes, { calledNo: no });
 * if (!("prevalence" in result) || result.prevalence.toFixed(3) !== "0.693") throw new Error("wrong");
 * ```
 */
export function correctVerificationBias(
  calledYes: VerifiedCounts,
  options: VerificationBiasOptions,
): VerificationBiasResult | Absent {
  const { calledNo, level = 0.95 } = options;
  const doing = "correct for verification";
  checkLevel(doing, level);
  for (const counts of [calledYes, calledNo]) {
    for (const [name, count] of Object.entries(counts)) checkCount(doing, name, count);
    if (counts.verifiedYes + counts.verifiedNo > counts.total) {
      throw new RangeError(
        `Cannot ${doing}: verified cases must be at most the total ${counts.total}, got ${
          counts.verifiedYes + counts.verifiedNo
        }`,
      );
    }
  }
  const all = calledYes.total + calledNo.total;
  const verified = [calledYes, calledNo].map((counts) => counts.verifiedYes + counts.verifiedNo) as [
    number,
    number,
  ];
  const n = { cases: all, verified: verified[0] + verified[1] };
  const cells = [calledYes.verifiedYes, calledYes.verifiedNo, calledNo.verifiedYes, calledNo.verifiedNo];
  if (cells.some((count) => count === 0)) return absent("too few", "One of the four verified counts is 0", n);
  const share = calledYes.total / all;
  const a = calledYes.verifiedYes / verified[0], b = calledNo.verifiedYes / verified[1];
  const prevalence = share * a + (1 - share) * b;
  const sensitivity = share * a / prevalence, specificity = (1 - share) * (1 - b) / (1 - prevalence);
  // Variances of the log odds: of the share called yes, and of the two verified shares.
  const called = 1 / (all * share * (1 - share));
  const seLogit = called + (1 - a) / calledYes.verifiedYes + (1 - b) / calledNo.verifiedYes;
  const spLogit = called + a / calledYes.verifiedNo + b / calledNo.verifiedNo;
  const z = normalQuantile(1 - (1 - level) / 2);
  const logit = (p: number, variance: number): Estimate => {
    const at = (by: number): number =>
      1 / (1 + Math.exp(-(Math.log(p / (1 - p)) + by * Math.sqrt(variance))));
    return present(p, { low: at(-z), high: at(z), level, method: "logit, Begg-Greenes" }, n);
  };
  return {
    sensitivity: logit(sensitivity, seLogit),
    specificity: logit(specificity, spLogit),
    prevalence,
    positivePredictiveValue: shareEstimate(calledYes.verifiedYes, verified[0], { level, unit: "verified" }),
    negativePredictiveValue: shareEstimate(calledNo.verifiedNo, verified[1], { level, unit: "verified" }),
    naiveSensitivity: calledYes.verifiedYes / (calledYes.verifiedYes + calledNo.verifiedYes),
    naiveSpecificity: calledNo.verifiedNo / (calledNo.verifiedNo + calledYes.verifiedNo),
    sensitivityVariance: (sensitivity * (1 - sensitivity)) ** 2 * seLogit,
    specificityVariance: (specificity * (1 - specificity)) ** 2 * spLogit,
  };
}
