import { describe, expect, test } from "vitest";
import { chance, meanDifference, meanDistance, normalMeanDifference } from "../../lib/numbers/mod.ts";

describe("meanDifference() and meanDistance()", () => {
  test("by hand: 1 2 4 lie 1, 2 and 3 apart, and 1 2 from 4 10 lie 3, 9, 2 and 8", () => {
    expect(meanDifference(Object.freeze([1, 2, 4]) as number[])).toBe(2);
    expect(meanDistance([1, 2], [4, 10])).toBe(5.5);
    expect(meanDistance([4, 10], [1, 2])).toBe(5.5);
  });
  test("agrees with the order statistics' form, 2 sum (2i - n - 1) x(i) / (n (n - 1)) (David 1968)", () => {
    const draws = chance(3, "test/mean-difference");
    const values = Array.from({ length: 25 }, () => 300 + 40 * draws.normal());
    const n = values.length, sorted = [...values].sort((a, b) => a - b);
    const byOrder = 2 * sorted.reduce((sum, x, i) => sum + (2 * (i + 1) - n - 1) * x, 0) / (n * (n - 1));
    // Doubles: a few hundred sums of numbers near 300.
    expect(Math.abs(meanDifference(values) - byOrder)).toBeLessThan(1e-10);
  });
  test("of normal values it is 2 / sqrt(pi) standard deviations on average, from two values as from nine", () => {
    for (const n of [2, 9]) {
      const draws = chance(4, "test/mean-difference/normal", n);
      let sum = 0;
      for (let i = 0; i < 20_000; i++) {
        sum += meanDifference(Array.from({ length: n }, () => 5 * draws.normal())) / 20_000;
      }
      // Of two values its standard deviation is 4.26 (a folded normal of 5 sqrt(2)), so the mean of 20,000 has a standard error of 0.03; four of them.
      expect(Math.abs(sum - normalMeanDifference(5))).toBeLessThan(0.12);
    }
    expect(normalMeanDifference(5)).toBeCloseTo(5.6418958354775628, 14);
  });
  test("refuses too few values and what is not finite", () => {
    expect(() => meanDifference([1])).toThrow(
      new RangeError("Cannot take a mean difference: need at least 2 values, got 1"),
    );
    expect(() => meanDistance([], [1])).toThrow(
      new RangeError("Cannot take a mean distance: need at least 1 value, got 0"),
    );
    expect(() => meanDistance([1], [NaN])).toThrow(
      new RangeError("Cannot take a mean distance: every value must be a finite number, got NaN at index 0"),
    );
  });
  test("equal values are 0 apart", () => {
    expect(meanDifference([7, 7, 7])).toBe(0);
    expect(meanDistance([7], [7])).toBe(0);
  });
});
