import { mean as plainMean } from "simple-statistics";
import { checkValues } from "./_check_values.ts";

/**
 * Gives the arithmetic mean, added up with compensation (Kahan and Babuska) so that many close numbers lose no digits.
 *
 * @param values Finite numbers, at least one; leave missing values out first.
 * @returns The mean, in the unit of the values.
 *
 * Throws RangeError for no values or a value that is not finite.
 *
 * @example
 * ```ts
 * import { mean } from "overiron";
 * if (mean([1, 2, 6]) !== 3) throw new Error("wrong");
 * ```
 */
export function mean(values: ArrayLike<number>): number {
  checkValues("take a mean", values);
  return plainMean(Array.from(values));
}
