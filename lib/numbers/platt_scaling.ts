import type { LogisticFailure } from "./_newton_logit.ts";
import { logisticProbabilities, logisticRegression } from "./logistic_regression.ts";
import type { Counts } from "./estimate.ts";

/** A curve that turns scores into probabilities: p = 1 / (1 + exp(a score + b)). */
export interface PlattFit {
  readonly status: "converged";
  readonly a: number;
  readonly b: number;
  /** The targets that stand for yes and no. */
  readonly targetYes: number;
  readonly targetNo: number;
  /** Probability of each score given. */
  readonly probabilities: Float64Array;
  readonly n: Counts;
}

/**
 * Fits Platt's curve from scores to probabilities.
 *
 * @param scores Finite numbers, one a case.
 * @param outcome 1 for yes and 0 for no, one a case.
 * @returns The curve, or the failure of the logistic fit behind it. Targets are (yes + 1) / (yes + 2) and 1 / (no + 2), so that separated
 * scores have a finite answer.
 *
 * Sources: Platt (1999), Advances in Large Margin Classifiers, 61-74; Lin, Lin and Weng (2007), Machine Learning 68:267-276.
 * Throws RangeError for columns of different length, scores that are not finite, or outcomes other than 0 and 1.
 *
 * @example
 * ```ts
 * import { plattScaling } from "overiron";
 * const fit = plattScaling([-1, -0.5, 0.5, 1], [0, 0, 1, 1]);
 * if (fit.status !== "converged" || !(fit.a < 0)) throw new Error("wrong");
 * ```
 */
export function plattScaling(
  scores: ArrayLike<number>,
  outcome: ArrayLike<number>,
): PlattFit | LogisticFailure {
  let yes = 0;
  for (let i = 0; i < outcome.length; i++) {
    if (outcome[i] !== 0 && outcome[i] !== 1) {
      throw new RangeError(`Cannot scale scores: outcome must be 0 or 1, got ${outcome[i]} at index ${i}`);
    }
    yes += outcome[i]!;
  }
  const targetYes = (yes + 1) / (yes + 2), targetNo = 1 / (outcome.length - yes + 2);
  const targets = Float64Array.from(outcome, (y) => y === 1 ? targetYes : targetNo);
  const fit = logisticRegression([scores], targets);
  if (fit.status !== "converged") return fit;
  const [intercept, slope] = fit.coefficients as [number, number];
  return {
    status: "converged",
    a: -slope,
    b: -intercept,
    targetYes,
    targetNo,
    probabilities: logisticProbabilities(fit.coefficients, [scores]),
    n: { cases: outcome.length },
  };
}
