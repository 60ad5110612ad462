import { absent } from "./estimate.ts";
import { type Measure, measured } from "./measure.ts";
import { type ProbabilityRows, type ScoreOptions, visitCases } from "./_probability_rows.ts";

export interface BrierScoreOptions extends ScoreOptions {
  /** "summed" adds the squares over all classes (Brier's own form, 0 to 2); "half" is half of that (0 to 1). Default "summed". */
  readonly form?: "summed" | "half";
}

/**
 * Gives the Brier score of class probabilities: the mean squared distance between what was forecast and what came.
 *
 * @param probabilities One row a case and one column a class, rows adding up to 1; or all rows in one Float64Array.
 * @param outcome The class that came, 0 to the number of classes less one, for each case.
 * @returns 0 or above; absent without cases. With two classes the half form is the mean of (p - y)^2.
 *
 * Source: Brier (1950), Monthly Weather Review 78:1-3.
 * Throws RangeError for rows that are no probabilities or an outcome that is no class.
 *
 * @example
 * ```ts
 * import { brierScore, isMeasured } from "overiron";
 * const score = brierScore([[0.5, 0.5]], [0]);
 * if (!isMeasured(score) || score.value !== 0.5) throw new Error("wrong");
 * ```
 */
export function brierScore(
  probabilities: ProbabilityRows,
  outcome: ArrayLike<number>,
  options: BrierScoreOptions = {},
): Measure {
  const { form = "summed", ...which } = options;
  let sum = 0;
  const cases = visitCases(probabilities, outcome, which, (p, y) => {
    for (let c = 0; c < p.length; c++) sum += (p[c]! - (c === y ? 1 : 0)) ** 2;
  });
  if (cases === 0) return absent("no cases", "There is no case to score", { cases });
  return measured(sum / cases / (form === "half" ? 2 : 1), { cases });
}
