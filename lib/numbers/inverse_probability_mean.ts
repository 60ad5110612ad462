import { checkSameLength, checkValues } from "./_check_values.ts";
import { type Absent, absent } from "./estimate.ts";

/** Estimates for all cases from those that were seen with known probabilities. */
export interface InverseProbabilityMean {
  /** Hajek's mean: sum of y / p over sum of 1 / p, in the unit of the values. */
  readonly mean: number;
  /** Horvitz and Thompson's total: sum of y / p. */
  readonly total: number;
  /** Sum of 1 / p: how many cases there would be. */
  readonly cases: number;
  /** Kish's effective sample size: the number of equally likely cases that would tell as much. */
  readonly effectiveCases: number;
}

/**
 * Gives the mean of all cases from those that were looked at, each weighted by one over its probability of being looked at.
 *
 * @param values Finite numbers, one a case looked at.
 * @param probabilities Probability of each to be looked at, above 0 and at most 1.
 * @returns Mean, total and effective numbers; absent without cases. It holds only where every case could have been looked at.
 *
 * Sources: Horvitz and Thompson (1952), JASA 47:663-685; Hajek (1971), Foundations of Statistical Inference, 236; Kish (1965), Survey
 * Sampling. Throws RangeError for columns of different length or values outside these ranges.
 *
 * @example
 * ```ts
 * import { inverseProbabilityMean } from "overiron";
 * const all = inverseProbabilityMean([1, 3], [0.5, 0.25]);
 * if (!("mean" in all) || all.total !== 14 || all.cases !== 6) throw new Error("wrong");
 * ```
 */
export function inverseProbabilityMean(
  values: ArrayLike<number>,
  probabilities: ArrayLike<number>,
): InverseProbabilityMean | Absent {
  const doing = "weight by probabilities";
  checkSameLength(doing, ["values", "probabilities"], [values.length, probabilities.length]);
  checkValues(doing, values, 0);
  let total = 0, cases = 0, squares = 0;
  for (let i = 0; i < values.length; i++) {
    const p = probabilities[i]!;
    if (!(p > 0 && p <= 1)) {
      throw new RangeError(
        `Cannot ${doing}: probabilities must be above 0 and at most 1, got ${p} at index ${i}`,
      );
    }
    total += values[i]! / p;
    cases += 1 / p;
    squares += 1 / p ** 2;
  }
  if (values.length === 0) return absent("no cases", "No case was looked at", { cases: 0 });
  return { mean: total / cases, total, cases, effectiveCases: cases ** 2 / squares };
}
