import { checkProbability } from "./_check_values.ts";
import { solveIncreasing, upperIncompleteGamma } from "./_special_functions.ts";

/**
 * Gives the probability that a standard normal variable is at most z.
 *
 * @param z A finite or infinite number.
 * @returns 0 to 1, accurate to about 1e-14 relative in both tails.
 *
 * Source: the incomplete gamma function with a = 1/2 (DLMF 7.11.2).
 * Throws RangeError for NaN.
 *
 * @example
 * ```ts
 * import { normalProbability } from "overiron";
 * if (normalProbability(0) !== 0.5) throw new Error("wrong");
 * ```
 */
export function normalProbability(z: number): number {
  if (Number.isNaN(z)) throw new RangeError("Cannot give a normal probability: z must be a number, got NaN");
  if (!Number.isFinite(z)) return z > 0 ? 1 : 0;
  const tail = z === 0 ? 0.5 : upperIncompleteGamma(0.5, z * z / 2) / 2;
  return z > 0 ? 1 - tail : tail;
}

/**
 * Gives the value that a standard normal variable stays below with probability p.
 *
 * @param p Probability, above 0 and below 1.
 * @returns A finite number, accurate to about 1e-14.
 *
 * Throws RangeError for p outside 0 to 1, or at either end, where no finite value exists.
 *
 * @example
 * ```ts
 * import { normalQuantile } from "overiron";
 * if (Math.abs(normalQuantile(0.975) - 1.959963984540054) > 1e-13) throw new Error("wrong");
 * ```
 */
export function normalQuantile(p: number): number {
  checkProbability("give a normal quantile", "p", p);
  if (p === 0 || p === 1) {
    throw new RangeError(`Cannot give a normal quantile: p must be inside 0 to 1, got ${p}`);
  }
  if (p === 0.5) return 0;
  // In the lower tail the logarithm of the probability is smooth, so Newton's method on it settles in a few steps.
  const tail = Math.min(p, 1 - p);
  const z = solveIncreasing(
    (x) => Math.log(normalProbability(x)),
    (x) => Math.exp(-x * x / 2) / Math.sqrt(2 * Math.PI) / normalProbability(x),
    Math.log(tail),
    [-39, -Math.sqrt(-2 * Math.log(2 * tail)), 0],
  );
  return p < 0.5 ? z : -z;
}
