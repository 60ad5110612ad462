import { checkLevel } from "./_check_values.ts";
import { absent, type Counts, type Estimate, present } from "./estimate.ts";
import { studentQuantile } from "./student_distribution.ts";

export interface WaldEstimateOptions {
  /** What the estimate stands on. */
  readonly n: Counts;
  /** Degrees of freedom of the standard error. Default Infinity: the normal distribution. */
  readonly degreesOfFreedom?: number;
  /** Level, above 0 and below 1. Default 0.95. */
  readonly level?: number;
  /** Name of the method. Default "t, D df" or "normal". */
  readonly method?: string;
}

/**
 * Gives an estimate from a number and its standard error: the number plus and minus a t quantile times the error.
 *
 * @param value The number.
 * @param standardError 0 or above, in the unit of the number.
 * @returns The estimate; absent where either is not finite or no degree of freedom is left.
 *
 * Throws RangeError for a negative standard error or a level outside 0 to 1.
 *
 * @example
 * ```ts
 * import { isPresent, waldEstimate } from "overiron";
 * const estimate = waldEstimate(2, 0.5, { n: { trials: 12 }, degreesOfFreedom: 10 });
 * if (!isPresent(estimate) || estimate.interval.high.toFixed(3) !== "3.114") throw new Error("wrong");
 * ```
 */
export function waldEstimate(value: number, standardError: number, options: WaldEstimateOptions): Estimate {
  const { n, degreesOfFreedom = Infinity, level = 0.95 } = options;
  const { method = degreesOfFreedom === Infinity ? "normal" : `t, ${degreesOfFreedom} df` } = options;
  checkLevel("give an estimate", level);
  if (standardError < 0) {
    throw new RangeError(`Cannot give an estimate: standard error must be 0 or above, got ${standardError}`);
  }
  if (!Number.isFinite(value) || !Number.isFinite(standardError)) {
    return absent("undefined", "The number or its standard error is not finite", n);
  }
  if (!(degreesOfFreedom > 0)) return absent("too few", "No degree of freedom is left for an interval", n);
  const half = studentQuantile(1 - (1 - level) / 2, degreesOfFreedom) * standardError;
  if (!Number.isFinite(half)) return absent("undefined", "The interval is not finite", n);
  return present(value, { low: value - half, high: value + half, level, method }, n);
}
