/**
 * Says a whole number of hundredths in words: none is ever said to be 0 or 100 in 100.
 *
 * @example
 * ```ts
 * import { inHundred } from "overiron";
 * if (inHundred(100) !== "over 99 in 100" || inHundred(36) !== "36 in 100") throw new Error("wrong");
 * ```
 */
export const inHundred = (whole: number): string =>
  whole < 1 ? "under 1 in 100" : whole > 99 ? "over 99 in 100" : `${whole} in 100`;

/**
 * Rounds shares to whole hundredths that sum to 100: those with the largest remainders are rounded up (the method of Hare and Niemeyer), the
 * first of equal ones first.
 *
 * `shares` sum to 1. Throws RangeError where they do not.
 *
 * @example
 * ```ts
 * import { wholeHundredths } from "overiron";
 * if (wholeHundredths([0.357, 0.217, 0.426]).join() !== "36,22,42") throw new Error("wrong");
 * ```
 */
export function wholeHundredths(shares: readonly number[]): number[] {
  const sum = shares.reduce((total, share) => total + share, 0);
  if (!(Math.abs(sum - 1) < 1e-9)) {
    throw new RangeError(`Cannot round to hundredths: shares must sum to 1, got ${sum}`);
  }
  const whole = shares.map((share) => Math.floor(100 * share + 1e-9));
  const missing = 100 - whole.reduce((total, each) => total + each, 0);
  const order = shares.map((share, k) => ({ k, rest: 100 * share - whole[k]! }))
    .sort((a, b) => b.rest - a.rest || a.k - b.k);
  for (const { k } of order.slice(0, missing)) whole[k]!++;
  return whole;
}
