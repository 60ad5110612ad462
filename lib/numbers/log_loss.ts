import { absent } from "./estimate.ts";
import { type Measure, measured } from "./measure.ts";
import { type ProbabilityRows, type ScoreOptions, visitCases } from "./_probability_rows.ts";

export type LogLossOptions = ScoreOptions;

/**
 * Gives the mean log loss of class probabilities: minus the natural logarithm of the probability given to what came.
 *
 * @param probabilities One row a case and one column a class, rows adding up to 1; or all rows in one Float64Array.
 * @param outcome The class that came, 0 to the number of classes less one, for each case.
 * @returns 0 or above, in nats; log(k) for a rule that spreads k classes evenly. Absent without cases, and where something came that had
 * probability 0, since the loss is then infinite: give every class a floor first.
 *
 * Source: Good (1952), Journal of the Royal Statistical Society B 14:107-114. No clipping.
 * Throws RangeError for rows that are no probabilities or an outcome that is no class.
 *
 * @example
 * ```ts
 * import { isMeasured, logLoss } from "overiron";
 * const loss = logLoss([[0.5, 0.5], [0.5, 0.5]], [0, 1]);
 * if (!isMeasured(loss) || loss.value !== Math.log(2)) throw new Error("wrong");
 * ```
 */
export function logLoss(
  probabilities: ProbabilityRows,
  outcome: ArrayLike<number>,
  options: LogLossOptions = {},
): Measure {
  let sum = 0;
  const cases = visitCases(probabilities, outcome, options, (p, y) => sum -= Math.log(p[y]!));
  if (cases === 0) return absent("no cases", "There is no case to score", { cases });
  if (sum === Infinity) {
    return absent("infinite", "Something came that had been given probability 0", { cases });
  }
  return measured(sum / cases, { cases });
}
