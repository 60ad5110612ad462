import { checkSameLength } from "./_check_values.ts";
import { type Absent, absent, type Estimate } from "./estimate.ts";
import { mean } from "./mean.ts";
import { standardDeviation } from "./standard_deviation.ts";
import { studentProbability } from "./student_distribution.ts";
import { waldEstimate } from "./wald_estimate.ts";

export interface MeanTestOptions {
  /** Level of the interval, above 0 and below 1. Default 0.95. */
  readonly level?: number;
}

/** A t test: the difference with its interval, the statistic, its degrees of freedom and the two-sided p value. */
export interface MeanTest {
  readonly difference: Estimate;
  readonly t: number;
  readonly degreesOfFreedom: number;
  readonly p: number;
}

/**
 * Tests whether paired values differ on average: Student's t on first minus second.
 *
 * @param first Finite numbers, one a pair.
 * @param second Finite numbers in the same order.
 * @returns The test; absent with fewer than two pairs or where all differences are equal.
 *
 * Source: Student (1908), Biometrika 6:1-25.
 * Throws RangeError for columns of different length or values that are not finite.
 *
 * @example
 * ```ts
 * import { pairedTest } from "overiron";
 * const test = pairedTest([3, 4, 6], [1, 3, 3]);
 * if (!("t" in test) || Math.abs(test.t - 3.4641016) > 1e-6) throw new Error("wrong");
 * ```
 */
export function pairedTest(
  first: ArrayLike<number>,
  second: ArrayLike<number>,
  options: MeanTestOptions = {},
): MeanTest | Absent {
  checkSameLength("test pairs", ["first", "second"], [first.length, second.length]);
  const pairs = first.length;
  const differences = Float64Array.from(first, (x, i) => x - second[i]!);
  if (pairs < 2) return absent("too few", `A paired test needs two pairs, got ${pairs}`, { pairs });
  const error = standardDeviation(differences) / Math.sqrt(pairs);
  if (error === 0) return absent("undefined", "All differences are equal", { pairs });
  return tested(mean(differences), error, pairs - 1, { pairs }, options);
}

/**
 * Tests whether two independent groups differ on average, their spreads not taken as equal: Welch's t on first minus second.
 *
 * @param first Finite numbers.
 * @param second Finite numbers.
 * @returns The test, with Welch's degrees of freedom; absent with fewer than two values a group or where neither varies.
 *
 * Source: Welch (1947), Biometrika 34:28-35.
 * Throws RangeError for values that are not finite.
 *
 * @example
 * ```ts
 * import { welchTest } from "overiron";
 * const test = welchTest([1, 2, 3], [4, 5, 6]);
 * if (!("t" in test) || Math.abs(test.degreesOfFreedom - 4) > 1e-12) throw new Error("wrong");
 * ```
 */
export function welchTest(
  first: ArrayLike<number>,
  second: ArrayLike<number>,
  options: MeanTestOptions = {},
): MeanTest | Absent {
  const n = { first: first.length, second: second.length };
  if (first.length < 2 || second.length < 2) return absent("too few", "Each group needs two values", n);
  const a = standardDeviation(first) ** 2 / first.length, b = standardDeviation(second) ** 2 / second.length;
  if (a + b === 0) return absent("undefined", "Neither group varies", n);
  const df = (a + b) ** 2 / (a * a / (first.length - 1) + b * b / (second.length - 1));
  return tested(mean(first) - mean(second), Math.sqrt(a + b), df, n, options);
}

function tested(
  difference: number,
  error: number,
  degreesOfFreedom: number,
  n: Record<string, number>,
  options: MeanTestOptions,
): MeanTest {
  const t = difference / error;
  return {
    difference: waldEstimate(difference, error, { n, degreesOfFreedom, level: options.level }),
    t,
    degreesOfFreedom,
    p: 2 * studentProbability(-Math.abs(t), degreesOfFreedom),
  };
}
