import { absent } from "./estimate.ts";
import { checkValues } from "./_check_values.ts";
import { interquartileRange } from "./interquartile_range.ts";
import { mean } from "./mean.ts";
import { type Measure, measured } from "./measure.ts";
import { median } from "./median.ts";
import { medianAbsoluteDeviation } from "./median_absolute_deviation.ts";
import { standardDeviation } from "./standard_deviation.ts";

/** What some numbers look like, each member in the unit of the values. */
export interface Summary {
  readonly n: number;
  readonly mean: number;
  /** With n - 1 in the denominator; absent for a single value. */
  readonly standardDeviation: Measure;
  readonly median: number;
  /** Plain, not scaled to the normal distribution. */
  readonly medianAbsoluteDeviation: number;
  /** By quantiles of type 7. */
  readonly interquartileRange: number;
  /** Minimum, lower hinge, median, upper hinge, maximum (Tukey 1977): a hinge is the median of a half that includes the median. */
  readonly fiveNumbers: readonly [number, number, number, number, number];
}

/**
 * Describes some numbers by their centre and spread, both by moments and by ranks.
 *
 * @param values Finite numbers in any order; leave missing values out first.
 * @returns The summary, or an absence for no values.
 *
 * Source of the five numbers: Tukey (1977), Exploratory Data Analysis, chapter 2.
 * Throws RangeError for a value that is not finite.
 *
 * @example
 * ```ts
 * import { summarise } from "overiron";
 * const summary = summarise([1, 2, 3, 4]);
 * if (!("median" in summary) || summary.median !== 2.5 || summary.fiveNumbers[1] !== 1.5) throw new Error("wrong");
 * ```
 */
export function summarise(values: ArrayLike<number>): Summary | ReturnType<typeof absent> {
  if (values.length === 0) return absent("no values", "There is nothing to describe", { values: 0 });
  checkValues("describe values", values);
  const sorted = Float64Array.from(values).sort();
  const n = sorted.length;
  const half = Math.ceil(n / 2);
  return {
    n,
    mean: mean(values),
    standardDeviation: n > 1
      ? measured(standardDeviation(values), { values: n })
      : absent("too few", "A standard deviation needs two values, got 1", { values: n }),
    median: median(sorted),
    medianAbsoluteDeviation: medianAbsoluteDeviation(sorted),
    interquartileRange: interquartileRange(sorted),
    fiveNumbers: [
      sorted[0]!,
      median(sorted.subarray(0, half)),
      median(sorted),
      median(sorted.subarray(n - half)),
      sorted[n - 1]!,
    ],
  };
}
