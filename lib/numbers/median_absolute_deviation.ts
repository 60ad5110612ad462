import { median } from "./median.ts";

export interface MedianAbsoluteDeviationOptions {
  /**
   * Factor on the result. Default 1: the plain median of the distances. 1.482602218505602 = 1 / normalQuantile(0.75) makes it
   * estimate the standard deviation of normal data; R's mad() takes 1.4826.
   */
  readonly constant?: number;
}

/**
 * Gives the median distance of the values from their median, a measure of spread that single wild values cannot move.
 *
 * @param values Finite numbers in any order, at least one; leave missing values out first.
 * @returns 0 or above, in the unit of the values.
 *
 * Source: Hampel (1974), Journal of the American Statistical Association 69:383-393.
 * Throws RangeError for no values, a value that is not finite, or a constant that is not above 0.
 *
 * @example
 * ```ts
 * import { medianAbsoluteDeviation } from "overiron";
 * if (medianAbsoluteDeviation([1, 1, 2, 2, 4, 6, 9]) !== 1) throw new Error("wrong");
 * ```
 */
export function medianAbsoluteDeviation(
  values: ArrayLike<number>,
  options: MedianAbsoluteDeviationOptions = {},
): number {
  const { constant = 1 } = options;
  if (!(constant > 0 && Number.isFinite(constant))) {
    throw new RangeError(
      `Cannot take a median absolute deviation: constant must be above 0, got ${constant}`,
    );
  }
  const centre = median(values);
  return constant * median(Float64Array.from(values, (value) => Math.abs(value - centre)));
}
