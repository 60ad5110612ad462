import { absent } from "./estimate.ts";
import { checkValues } from "./_check_values.ts";
import { mean } from "./mean.ts";
import { type Measure, measured } from "./measure.ts";

export interface AutocorrelationOptions {
  /** How many places apart the compared values stand. Default 1. */
  readonly lag?: number;
}

/**
 * Gives the autocorrelation of values in their order: how alike neighbours are, -1 to 1.
 *
 * @param values Finite numbers in the order they were taken, more than `lag`; leave missing values out first.
 * @returns The lag product sum over the total sum of squares, both about the one mean of all values (the NIST form);
 * absent where all values are equal.
 *
 * Source: NIST Statistical Reference Datasets, univariate summary statistics, lag-1 autocorrelation coefficient.
 * Throws RangeError for too few values, a value that is not finite, or a lag that is not a whole number of 1 or above.
 *
 * @example
 * ```ts
 * import { autocorrelation, isMeasured } from "overiron";
 * const alternating = autocorrelation([1, 3, 1, 3]);
 * if (!isMeasured(alternating) || alternating.value !== -0.75) throw new Error("wrong");
 * ```
 */
export function autocorrelation(values: ArrayLike<number>, options: AutocorrelationOptions = {}): Measure {
  const { lag = 1 } = options;
  if (!Number.isSafeInteger(lag) || lag < 1) {
    throw new RangeError(
      `Cannot take an autocorrelation: lag must be a whole number of 1 or above, got ${lag}`,
    );
  }
  checkValues("take an autocorrelation", values, lag + 1);
  const deviations = Float64Array.from(values);
  const centre = mean(values);
  for (let i = 0; i < deviations.length; i++) deviations[i]! -= centre;
  let products = 0, squares = 0;
  for (let i = 0; i < deviations.length; i++) {
    squares += deviations[i]! ** 2;
    if (i + lag < deviations.length) products += deviations[i]! * deviations[i + lag]!;
  }
  const n = { values: values.length };
  return squares > 0 ? measured(products / squares, n) : absent("undefined", "All values are equal", n);
}
