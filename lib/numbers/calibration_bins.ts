import { checkCount, checkProbability, checkSameLength } from "./_check_values.ts";
import { absent, type Estimate } from "./estimate.ts";
import { type Measure, measured } from "./measure.ts";
import { shareEstimate } from "./share_estimate.ts";

/** Forecasts of one band of probability. */
export interface CalibrationBin {
  readonly low: number;
  readonly high: number;
  readonly count: number;
  /** Mean of the probabilities in the band, not its middle. */
  readonly meanForecast: number;
  /** How often it came, with Wilson's interval. */
  readonly frequency: Estimate;
}

export interface CalibrationBinsOptions {
  /** Number of bands of equal width. Default 10. */
  readonly bins?: number;
  /** Name of the unit counted. Default "cases". */
  readonly unit?: string;
}

/**
 * Sorts forecasts into bands of equal width: the points of a reliability diagram.
 *
 * @param forecast Probabilities, 0 to 1, one a case.
 * @param outcome 1 where it came and 0 where not, one a case.
 * @returns The bands that hold a case, rising; a band holds its lower edge and not its upper, the last both.
 *
 * Throws RangeError for columns of different length or values outside these ranges.
 *
 * @example
 * ```ts
 * import { calibrationBins } from "overiron";
 * const bands = calibrationBins([0.1, 0.2, 0.9], [0, 1, 1], { bins: 2 });
 * if (bands.length !== 2 || bands[0]!.count !== 2) throw new Error("wrong");
 * ```
 */
export function calibrationBins(
  forecast: ArrayLike<number>,
  outcome: ArrayLike<number>,
  options: CalibrationBinsOptions = {},
): CalibrationBin[] {
  const { bins = 10, unit = "cases" } = options;
  const doing = "sort forecasts";
  checkCount(doing, "bins", bins);
  if (bins === 0) throw new RangeError(`Cannot ${doing}: bins must be 1 or above, got 0`);
  checkSameLength(doing, ["forecast", "outcome"], [forecast.length, outcome.length]);
  const sums = Array.from({ length: bins }, () => ({ count: 0, forecast: 0, came: 0 }));
  for (let i = 0; i < forecast.length; i++) {
    checkProbability(doing, "forecast", forecast[i]!);
    if (outcome[i] !== 0 && outcome[i] !== 1) {
      throw new RangeError(`Cannot ${doing}: outcome must be 0 or 1, got ${outcome[i]} at index ${i}`);
    }
    const bin = sums[Math.min(bins - 1, Math.floor(forecast[i]! * bins))]!;
    bin.count++;
    bin.forecast += forecast[i]!;
    bin.came += outcome[i]!;
  }
  return sums.flatMap(({ count, forecast, came }, i) =>
    count === 0 ? [] : [{
      low: i / bins,
      high: (i + 1) / bins,
      count,
      meanForecast: forecast / count,
      frequency: shareEstimate(came, count, { unit }),
    }]
  );
}

/** How far forecasts and frequencies part, over bands. */
export interface CalibrationError {
  /** Mean distance, bands weighted by their cases. */
  readonly expected: Measure;
  /** Largest distance. */
  readonly maximum: Measure;
}

/**
 * Gives the expected and the maximum calibration error over bands of equal width.
 *
 * @param forecast Probabilities, 0 to 1, one a case.
 * @param outcome 1 where it came and 0 where not, one a case.
 * @returns Two measures, 0 to 1; absent without cases. Both depend on the number of bands and, with few cases a band, are above 0 even for
 * perfect forecasts.
 *
 * Source: Naeini, Cooper and Hauskrecht (2015), Proceedings of AAAI 29:2901-2907.
 * Throws RangeError for columns of different length or values outside these ranges.
 *
 * @example
 * ```ts
 * import { calibrationError, isMeasured } from "overiron";
 * const { expected } = calibrationError([0.5, 0.5], [0, 1]);
 * if (!isMeasured(expected) || expected.value !== 0) throw new Error("wrong");
 * ```
 */
export function calibrationError(
  forecast: ArrayLike<number>,
  outcome: ArrayLike<number>,
  options: CalibrationBinsOptions = {},
): CalibrationError {
  const bands = calibrationBins(forecast, outcome, options);
  const n = { [options.unit ?? "cases"]: forecast.length };
  if (forecast.length === 0) {
    const none = absent("no cases", "There is no forecast", n);
    return { expected: none, maximum: none };
  }
  let expected = 0, maximum = 0;
  for (const { count, meanForecast, frequency } of bands) {
    const gap = "value" in frequency ? Math.abs(frequency.value - meanForecast) : 0;
    expected += count / forecast.length * gap;
    maximum = Math.max(maximum, gap);
  }
  return { expected: measured(expected, n), maximum: measured(maximum, n) };
}
