import { absent } from "./estimate.ts";
import { type Measure, measured } from "./measure.ts";
import { type ProbabilityRows, type ScoreOptions, visitCases } from "./_probability_rows.ts";

/**
 * Gives the ranked probability score for classes that stand in an order: near misses cost less than wide ones.
 *
 * @param probabilities One row a case and one column a class, rows adding up to 1; or all rows in one Float64Array.
 * @param outcome The class that came, 0 to the number of classes less one, for each case.
 * @returns 0 to the number of classes less one (not divided by it); absent without cases.
 *
 * Sources: Epstein (1969), Journal of Applied Meteorology 8:985-987; Murphy (1971), 10:155-156.
 * Throws RangeError for rows that are no probabilities or an outcome that is no class.
 *
 * @example
 * ```ts
 * import { isMeasured, rankedProbabilityScore } from "overiron";
 * const score = rankedProbabilityScore([[0.5, 0.5, 0]], [0]);
 * if (!isMeasured(score) || score.value !== 0.25) throw new Error("wrong");
 * ```
 */
export function rankedProbabilityScore(
  probabilities: ProbabilityRows,
  outcome: ArrayLike<number>,
  options: ScoreOptions = {},
): Measure {
  let sum = 0;
  const cases = visitCases(probabilities, outcome, options, (p, y) => {
    let gap = 0;
    for (let c = 0; c < p.length - 1; c++) {
      gap += p[c]! - (c === y ? 1 : 0);
      sum += gap * gap;
    }
  });
  return cases === 0
    ? absent("no cases", "There is no case to score", { cases })
    : measured(sum / cases, { cases });
}
