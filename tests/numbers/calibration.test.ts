import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  calibrationBins,
  calibrationError,
  isotonicRegression,
  plattScaling,
} from "../../lib/numbers/mod.ts";

describe("isotonicRegression()", () => {
  test("never falls, keeps the weighted mean and leaves rising values alone", () => {
    const list = fc.array(fc.tuple(fc.integer({ min: -50, max: 50 }), fc.integer({ min: 1, max: 5 })), {
      maxLength: 25,
    });
    fc.assert(
      fc.property(list, (pairs) => {
        const y = Object.freeze(pairs.map(([value]) => value)), w = pairs.map(([, weight]) => weight);
        const fit = isotonicRegression(y, { weights: w });
        let before = 0, after = 0;
        fit.forEach((value, i) => {
          if (i > 0) expect(value).toBeGreaterThanOrEqual(fit[i - 1]! - 1e-12);
          before += w[i]! * y[i]!, after += w[i]! * value;
        });
        expect(after).toBeCloseTo(before, 8);
        const sorted = [...y].sort((a, b) => a - b);
        isotonicRegression(sorted).forEach((value, i) => expect(value).toBeCloseTo(sorted[i]!, 10));
      }),
      { seed: 1 },
    );
  });
  test("of nothing is nothing; weights of 0 are refused", () => {
    expect(isotonicRegression([])).toHaveLength(0);
    expect(() => isotonicRegression([1], { weights: [0] })).toThrow(
      new RangeError("Cannot fit a rising sequence: weights must be above 0, got 0 at index 0"),
    );
  });
});

describe("calibration", () => {
  test("edges belong to the band above, 1 to the last", () => {
    expect(calibrationBins([0, 0.5, 1], [0, 1, 1], { bins: 2 }).map((band) => band.count)).toEqual([1, 2]);
  });
  test("no forecast, no error", () => {
    expect(calibrationError([], []).expected).toMatchObject({ absent: "no cases" });
    expect(calibrationBins([], [])).toEqual([]);
  });
  test("refusals say the rule and the value", () => {
    expect(() => calibrationBins([0.5], [0.5])).toThrow(
      new RangeError("Cannot sort forecasts: outcome must be 0 or 1, got 0.5 at index 0"),
    );
    expect(() => calibrationBins([0.5], [1], { bins: 0 })).toThrow(
      new RangeError("Cannot sort forecasts: bins must be 1 or above, got 0"),
    );
  });
  test("Platt's targets keep separated scores finite; constant scores are a typed failure", () => {
    expect(plattScaling([-3, -2, 2, 3], [0, 0, 1, 1]).status).toBe("converged");
    expect(plattScaling([1, 1, 1], [0, 1, 1]).status).toBe("collinear");
    expect(() => plattScaling([1], [2])).toThrow(
      new RangeError("Cannot scale scores: outcome must be 0 or 1, got 2 at index 0"),
    );
  });
});
