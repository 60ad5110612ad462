/** The worths of a good find, in holes, at which a model's rule is shown until somebody sets their own. */
export const WORTHS: readonly number[] = [3, 5, 10];

/**
 * Gives the dig rule of somebody to whom a good find is worth so many holes: dig where the chance of something good is at
 * least one in so many (the least chance at which a hole pays for itself on average).
 *
 * `probabilities` is n x 3 by row (ferrous, non-ferrous, masked good); good is what is not ferrous. `holesWorth` is above 1.
 * The answer is 1 (dig) or 0 a row. Throws RangeError for a worth of 1 or below.
 *
 * @example
 * ```ts
 * import { worthRule } from "overiron";
 * const digs = worthRule(Float64Array.of(0.9, 0.06, 0.04, 0.7, 0.2, 0.1), 5);
 * if (digs[0] !== 0 || digs[1] !== 1) throw new Error(String(digs));
 * ```
 */
export function worthRule(probabilities: Float64Array, holesWorth: number): Uint8Array {
  if (!(holesWorth > 1 && holesWorth < Infinity)) {
    throw new RangeError(
      `Cannot make dig rule: a good find must be worth more than 1 hole, got ${holesWorth}`,
    );
  }
  const digs = new Uint8Array(probabilities.length / 3);
  for (let i = 0; i < digs.length; i++) digs[i] = 1 - probabilities[3 * i]! >= 1 / holesWorth ? 1 : 0;
  return digs;
}
