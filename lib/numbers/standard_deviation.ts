import { sampleStandardDeviation } from "simple-statistics";
import { checkValues } from "./_check_values.ts";

/**
 * Gives the sample standard deviation, with n - 1 in the denominator, in two passes over the values.
 *
 * @param values Finite numbers, at least two; leave missing values out first.
 * @returns 0 or above, in the unit of the values.
 *
 * Throws RangeError for fewer than two values or a value that is not finite.
 *
 * @example
 * ```ts
 * import { standardDeviation } from "overiron";
 * if (standardDeviation([10000001, 10000003, 10000002]) !== 1) throw new Error("wrong");
 * ```
 */
export function standardDeviation(values: ArrayLike<number>): number {
  checkValues("take a standard deviation", values, 2);
  return sampleStandardDeviation(Array.from(values));
}
