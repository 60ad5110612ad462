import type { Interval } from "./estimate.ts";
import { proportionInterval } from "./proportion_interval.ts";

export interface WilsonIntervalOptions {
  /** Level, above 0 and below 1. Default 0.95. */
  readonly level?: number;
  /** Whether to widen the interval for the discreteness of counts (Newcombe's method 4). Default false. */
  readonly correction?: boolean;
}

/**
 * Gives Wilson's score interval for a proportion.
 *
 * @param successes Whole number from 0 to n.
 * @param n Whole number of cases, 1 or above.
 * @returns Limits in 0 to 1, exactly 0 at no success and exactly 1 at no failure.
 *
 * Source: Wilson (1927), JASA 22:209-212, as methods 3 and 4 of Newcombe (1998), Statistics in Medicine 17:857-872.
 * Throws RangeError for counts that are not such whole numbers or a level outside 0 to 1.
 *
 * @example
 * ```ts
 * import { wilsonInterval } from "overiron";
 * if (wilsonInterval(81, 263).low.toFixed(4) !== "0.2553") throw new Error("wrong");
 * ```
 */
export function wilsonInterval(successes: number, n: number, options: WilsonIntervalOptions = {}): Interval {
  const { level = 0.95, correction = false } = options;
  return proportionInterval(successes, n, { level, method: correction ? "wilson-corrected" : "wilson" });
}
