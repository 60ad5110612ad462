import { quantile, type QuantileOptions } from "./quantile.ts";

export type InterquartileRangeOptions = QuantileOptions;

/**
 * Gives the interquartile range: the distance between the quarter and the three-quarter quantile.
 *
 * @param values Finite numbers in any order, at least one; leave missing values out first.
 * @returns 0 or above, in the unit of the values. One value gives 0: judge the count before you read a spread from it.
 *
 * The quantiles are of type 7 of Hyndman and Fan (1996) unless the option says another.
 * Throws RangeError for no values, a value that is not finite, or an unknown type.
 *
 * @example
 * ```ts
 * import { interquartileRange } from "overiron";
 * if (interquartileRange([1, 2, 3, 4, 5]) !== 2) throw new Error("wrong");
 * ```
 */
export function interquartileRange(
  values: ArrayLike<number>,
  options: InterquartileRangeOptions = {},
): number {
  return quantile(values, 0.75, options) - quantile(values, 0.25, options);
}
