import { quantile } from "./quantile.ts";

/**
 * Gives the median: the middle value, or the mean of the two middle ones.
 *
 * @param values Finite numbers in any order, at least one; leave missing values out first.
 * @returns The median, in the unit of the values.
 *
 * Throws RangeError for no values or a value that is not finite.
 *
 * @example
 * ```ts
 * import { median } from "overiron";
 * if (median([5, 1, 3]) !== 3) throw new Error("wrong");
 * ```
 */
export function median(values: ArrayLike<number>): number {
  return quantile(values, 0.5, { type: 2 });
}
