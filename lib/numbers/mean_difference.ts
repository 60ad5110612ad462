import { checkValues } from "./_check_values.ts";

/**
 * Gives Gini's mean difference: the mean distance of two different values, over all pairs.
 *
 * For normal values it is 2 / sqrt(pi) standard deviations on average, with two values as with many.
 *
 * @param values Finite numbers in any order, at least two; leave missing values out first.
 * @returns 0 or above, in the unit of the values.
 *
 * Source: Gini (1912); David (1968), Biometrika 55:573-575, for its history and its mean.
 * Throws RangeError for fewer than two values or one that is not finite.
 *
 * @example
 * ```ts
 * import { meanDifference } from "overiron";
 * if (meanDifference([1, 2, 4]) !== 2) throw new Error("wrong");
 * ```
 */
export function meanDifference(values: ArrayLike<number>): number {
  checkValues("take a mean difference", values, 2);
  const n = values.length;
  let sum = 0;
  for (let i = 1; i < n; i++) for (let j = 0; j < i; j++) sum += Math.abs(values[i]! - values[j]!);
  return sum / (n * (n - 1) / 2);
}

/**
 * Gives the mean difference of normal values of that standard deviation: 2 / sqrt(pi) of it (David 1968).
 *
 * @example
 * ```ts
 * import { normalMeanDifference } from "overiron";
 * if (Math.abs(normalMeanDifference(1) - 1.1283791670955126) > 1e-15) throw new Error("wrong");
 * ```
 */
export function normalMeanDifference(standardDeviation: number): number {
  return standardDeviation * 2 / Math.sqrt(Math.PI);
}

/**
 * Gives the mean distance of a value of one list from a value of another, over all pairs: in the unit of the values, 0 or above.
 *
 * Throws RangeError for an empty list or a value that is not finite.
 *
 * @example
 * ```ts
 * import { meanDistance } from "overiron";
 * if (meanDistance([1, 2], [4]) !== 2.5) throw new Error("wrong");
 * ```
 */
export function meanDistance(one: ArrayLike<number>, other: ArrayLike<number>): number {
  checkValues("take a mean distance", one);
  checkValues("take a mean distance", other);
  let sum = 0;
  for (let i = 0; i < one.length; i++) {
    for (let j = 0; j < other.length; j++) sum += Math.abs(one[i]! - other[j]!);
  }
  return sum / (one.length * other.length);
}
