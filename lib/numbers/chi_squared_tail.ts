import { upperIncompleteGamma } from "./_special_functions.ts";

/**
 * Gives the probability that a chi-squared variable is above x: the p value of a chi-squared test.
 *
 * @param x 0 or above.
 * @param degreesOfFreedom Above 0.
 * @returns 0 to 1, accurate to about 1e-13 relative.
 *
 * Source: the incomplete gamma function (Abramowitz and Stegun 26.4.19).
 * Throws RangeError for a value outside these ranges.
 *
 * @example
 * ```ts
 * import { chiSquaredTail } from "overiron";
 * if (Math.abs(chiSquaredTail(2, 2) - Math.exp(-1)) > 1e-14) throw new Error("wrong");
 * ```
 */
export function chiSquaredTail(x: number, degreesOfFreedom: number): number {
  if (!(x >= 0)) throw new RangeError(`Cannot use chi-squared: x must be 0 or above, got ${x}`);
  if (!(degreesOfFreedom > 0 && Number.isFinite(degreesOfFreedom))) {
    throw new RangeError(
      `Cannot use chi-squared: degrees of freedom must be above 0, got ${degreesOfFreedom}`,
    );
  }
  return x === Infinity ? 0 : upperIncompleteGamma(degreesOfFreedom / 2, x / 2);
}
