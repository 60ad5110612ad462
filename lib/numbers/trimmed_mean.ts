import { checkValues } from "./_check_values.ts";
import { mean } from "./mean.ts";

/**
 * Gives the mean of what remains after a share of the values is cut off at each end.
 *
 * @param values Finite numbers in any order, at least one; leave missing values out first.
 * @param share Share cut at each end, from 0 to below 0.5; the number cut is rounded down.
 * @returns The trimmed mean, in the unit of the values.
 *
 * Throws RangeError for no values, a value that is not finite, or a share outside 0 to 0.5.
 *
 * @example
 * ```ts
 * import { trimmedMean } from "overiron";
 * if (trimmedMean([1, 2, 3, 4, 500], 0.2) !== 3) throw new Error("wrong");
 * ```
 */
export function trimmedMean(values: ArrayLike<number>, share: number): number {
  checkValues("take a trimmed mean", values);
  if (!(share >= 0 && share < 0.5)) {
    throw new RangeError(`Cannot take a trimmed mean: share must be from 0 to below 0.5, got ${share}`);
  }
  const cut = Math.floor(values.length * share);
  return mean(Float64Array.from(values).sort().subarray(cut, values.length - cut));
}
