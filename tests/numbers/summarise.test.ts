import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  autocorrelation,
  interquartileRange,
  isMeasured,
  kurtosis,
  mean,
  measured,
  median,
  medianAbsoluteDeviation,
  skewness,
  standardDeviation,
  summarise,
  trimmedMean,
} from "../../lib/numbers/mod.ts";

describe("summaries", () => {
  test("summarise() of nothing is an absence", () => {
    expect(summarise([])).toEqual({
      absent: "no values",
      reason: "There is nothing to describe",
      n: { values: 0 },
    });
  });
  test("summarise() of one value has no standard deviation", () => {
    const summary = summarise([4]);
    if (!("fiveNumbers" in summary)) expect.fail("no summary");
    expect(summary.standardDeviation).toMatchObject({ absent: "too few" });
    expect(summary.fiveNumbers).toEqual([4, 4, 4, 4, 4]);
    expect(summary.interquartileRange).toBe(0);
  });
  test("measures of shape are absent where they do not exist", () => {
    expect(skewness([1, 2])).toMatchObject({ absent: "too few", n: { values: 2 } });
    expect(skewness([2, 2, 2])).toMatchObject({ absent: "undefined" });
    expect(kurtosis([1, 2, 3])).toMatchObject({ absent: "too few" });
    expect(kurtosis([2, 2, 2, 2])).toMatchObject({ absent: "undefined" });
    expect(autocorrelation([5, 5, 5])).toMatchObject({ absent: "undefined" });
  });
  test("measured() refuses NaN, and isMeasured() tells the two apart", () => {
    expect(() => measured(NaN, {})).toThrow(
      new RangeError("Cannot make a measure: value must be a finite number, got NaN"),
    );
    expect(isMeasured(measured(0, {}))).toBe(true);
    expect(isMeasured(skewness([1, 2]))).toBe(false);
  });
  test("centre and spread follow a shift and a stretch", () => {
    const values = fc.array(fc.integer({ min: -1000, max: 1000 }), { minLength: 2, maxLength: 25 });
    fc.assert(
      fc.property(
        values,
        fc.integer({ min: -50, max: 50 }),
        fc.integer({ min: 1, max: 9 }),
        (x, shift, factor) => {
          const moved = x.map((value) => factor * value + shift);
          expect(median(moved)).toBeCloseTo(factor * median(x) + shift, 9);
          expect(mean(moved)).toBeCloseTo(factor * mean(x) + shift, 9);
          for (const spread of [interquartileRange, medianAbsoluteDeviation, standardDeviation]) {
            expect(spread(moved)).toBeCloseTo(factor * spread(x), 9);
          }
        },
      ),
      { seed: 1 },
    );
  });
  test("one wild value moves the mean and hardly the median", () => {
    expect(median([1, 2, 3, 4, 5000])).toBe(3);
    expect(medianAbsoluteDeviation([1, 2, 3, 4, 5000])).toBe(1);
    expect(trimmedMean([1, 2, 3, 4, 5000], 0.2)).toBe(3);
    expect(mean([1, 2, 3, 4, 5000])).toBe(1002);
  });
  test("inputs stay as they are", () => {
    const x = Object.freeze([3, 1, 2, 9]);
    summarise(x), trimmedMean(x, 0.25), autocorrelation(x), kurtosis(x);
    expect(x).toEqual([3, 1, 2, 9]);
  });
  test("refusals say the rule and the value", () => {
    expect(() => mean([])).toThrow(new RangeError("Cannot take a mean: need at least 1 value, got 0"));
    expect(() => standardDeviation([1])).toThrow(
      new RangeError("Cannot take a standard deviation: need at least 2 values, got 1"),
    );
    expect(() => trimmedMean([1, 2], 0.5)).toThrow(
      new RangeError("Cannot take a trimmed mean: share must be from 0 to below 0.5, got 0.5"),
    );
    expect(() => medianAbsoluteDeviation([1], { constant: 0 })).toThrow(
      new RangeError("Cannot take a median absolute deviation: constant must be above 0, got 0"),
    );
    expect(() => autocorrelation([1, 2], { lag: 0 })).toThrow(
      new RangeError("Cannot take an autocorrelation: lag must be a whole number of 1 or above, got 0"),
    );
  });
});
