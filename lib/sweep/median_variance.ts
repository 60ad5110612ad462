// Variance of the median of n standard normal draws, n = 1 to 9: Teichroew, D. (1956) Tables of expected values of order
// statistics and products of order statistics, Ann. Math. Statist. 27:410-426. The test computes them again by simulation.
const exact = [1, 0.5, 0.448671, 0.298241, 0.286834, 0.214744, 0.210447, 0.168225, 0.166101];

/**
 * Gives the variance of the median of `n` independent readings with standard deviation 1, for normal noise.
 *
 * Exact to six decimals up to n = 9, above that pi / (2 m + pi - 2) with m the odd one of n and n + 1 (within 2 %; the median
 * of an even count varies about as that of the next odd one: Hodges and Lehmann 1967, J. Am. Stat. Assoc. 62:926). Throws
 * RangeError unless n is a whole number of 1 or above.
 *
 * @example
 * ```ts
 * import { medianVariance } from "overiron";
 * if (medianVariance(2) !== 0.5) throw new Error("the median of two is their mean");
 * ```
 */
export function medianVariance(n: number): number {
  if (!Number.isSafeInteger(n) || n < 1) {
    throw new RangeError(
      `Cannot give the variance of a median: n must be a whole number of 1 or above, got ${n}`,
    );
  }
  return exact[n - 1] ?? Math.PI / (2 * (n + 1 - (n % 2)) + Math.PI - 2);
}
