import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  chance,
  clusterRobustCovariance,
  isPresent,
  leastSquaresFit,
  waldEstimate,
} from "../../lib/numbers/mod.ts";

const x = [0, 1, 2, 3, 4, 5, 6, 7];
const decay = (y: readonly number[]) => ([a, b]: Float64Array) =>
  x.map((t, i) => y[i]! - a! * Math.exp(-b! * t));
const noisy = [5.1, 3.0, 1.85, 1.1, 0.74, 0.35, 0.3, 0.1];

describe("leastSquaresFit()", () => {
  test("of a straight line gives the textbook estimates and errors", () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: -100, max: 100 }), { minLength: 8, maxLength: 8 }), (y) => {
        fc.pre(new Set(y).size > 2);
        const fit = leastSquaresFit(([a, b]) => x.map((t, i) => y[i]! - a! - b! * t), [1, 1]);
        if (fit.status !== "converged") expect.fail(fit.reason);
        const my = y.reduce((sum, value) => sum + value, 0) / 8;
        const b = x.reduce((sum, t, i) => sum + (t - 3.5) * (y[i]! - my), 0) / 42;
        const rss = x.reduce((sum, t, i) => sum + (y[i]! - my - b * (t - 3.5)) ** 2, 0);
        expect(fit.parameters[1]).toBeCloseTo(b, 8);
        expect(fit.parameters[0]).toBeCloseTo(my - 3.5 * b, 8);
        expect(fit.standardErrors[1]).toBeCloseTo(Math.sqrt(rss / 6 / 42), 8);
        expect(fit.residualSumOfSquares).toBeCloseTo(rss, 6);
      }),
      { seed: 1, numRuns: 60 },
    );
  });
  test("gives the same fit from its own derivatives and from differences", () => {
    const numeric = leastSquaresFit(decay(noisy), [1, 1]);
    const exact = leastSquaresFit(decay(noisy), [1, 1], {
      jacobian: ([a, b]) =>
        Float64Array.from(x.flatMap((t) => [-Math.exp(-b! * t), a! * t * Math.exp(-b! * t)])),
    });
    if (numeric.status !== "converged" || exact.status !== "converged") expect.fail("no fit");
    exact.parameters.forEach((value, j) => expect(numeric.parameters[j]! / value).toBeCloseTo(1, 10));
    exact.standardErrors.forEach((value, j) => expect(numeric.standardErrors[j]! / value).toBeCloseTo(1, 8));
  });
  test("does not care for the unit of a parameter", () => {
    const one = leastSquaresFit(decay(noisy), [1, 1]);
    const small = leastSquaresFit(([a, b]) => decay(noisy)(Float64Array.of(a! * 1e6, b!)), [1e-6, 1]);
    if (one.status !== "converged" || small.status !== "converged") expect.fail("no fit");
    expect(small.parameters[0]! * 1e6).toBeCloseTo(one.parameters[0]!, 7);
    expect(small.standardErrors[0]! * 1e6).toBeCloseTo(one.standardErrors[0]!, 7);
  });
  test("fits exact data with errors near 0", () => {
    const fit = leastSquaresFit(decay(x.map((t) => 4 * Math.exp(-0.7 * t))), [1, 1]);
    if (fit.status !== "converged") expect.fail(fit.reason);
    expect(fit.parameters[0]).toBeCloseTo(4, 10);
    expect(fit.standardErrors[0]).toBeLessThan(1e-10);
  });
  test("its 95 % t intervals hold the truth in about 95 of 100 runs", () => {
    let held = 0;
    const runs = 300;
    for (let run = 0; run < runs; run++) {
      const draw = chance(9, "test/fit", run);
      const fit = leastSquaresFit(decay(x.map((t) => 5 * Math.exp(-0.5 * t) + 0.1 * draw.normal())), [3, 1]);
      if (fit.status !== "converged") expect.fail(fit.reason);
      const rate = waldEstimate(fit.parameters[1]!, fit.standardErrors[1]!, {
        n: fit.n,
        degreesOfFreedom: fit.degreesOfFreedom,
      });
      if (isPresent(rate) && rate.interval.low <= 0.5 && 0.5 <= rate.interval.high) held++;
    }
    // Binomial with 300 runs: standard deviation 3.8, four of them.
    expect(held).toBeGreaterThan(285 - 15);
    expect(held).toBeLessThanOrEqual(300);
  });
  test("says so where there are not more rows than parameters", () => {
    expect(leastSquaresFit(([a, b]) => [a! - 1, b! - 2], [0, 0], { unit: "trials" })).toMatchObject({
      status: "too-few",
      reason: "2 parameters need more than 2 trials, got 2",
      n: { trials: 2 },
    });
  });
  test("says so where the rows cannot tell parameters apart", () => {
    expect(leastSquaresFit(([a, b]) => noisy.map((y) => y - a! - b!), [0, 0]).status).toBe("singular");
    expect(leastSquaresFit(([a]) => noisy.map((y) => y - a!), [0, 7]).status).toBe("singular");
  });
  test("says so where the start has no finite residuals, and steps over places without", () => {
    expect(leastSquaresFit(([a]) => noisy.map((y) => y - Math.log(a!)), [-1])).toMatchObject({
      status: "not-finite",
    });
    const fit = leastSquaresFit(([a]) => noisy.map((y) => y - Math.sqrt(a!)), [1e-3]);
    if (fit.status !== "converged") expect.fail(fit.reason);
    expect(Math.sqrt(fit.parameters[0]!)).toBeCloseTo(noisy.reduce((sum, y) => sum + y, 0) / 8, 8);
  });
  test("says so where there is no least sum of squares to reach", () => {
    // The residuals fall for ever as a grows: there is an infimum, no minimum.
    const fit = leastSquaresFit(([a]) => x.map((t) => 1 + Math.exp(-a! * (1 + t / 10))), [0]);
    expect(fit.status).not.toBe("converged");
  });
  test("says so where it was stopped early", () => {
    const fit = leastSquaresFit(decay(noisy), [50, 3], { maxEvaluations: 2, scaling: "derivatives" });
    expect(fit).toMatchObject({ status: "not-converged" });
  });
  test("hands out copies: a careless caller cannot disturb the search, nor the search the caller", () => {
    const start = Object.freeze([1, 1]);
    const fit = leastSquaresFit((parameters) => {
      const left = decay(noisy)(parameters);
      parameters.fill(99);
      return left;
    }, start);
    expect(fit.status).toBe("converged");
    expect(start).toEqual([1, 1]);
  });
  test("refuses what cannot be a start", () => {
    expect(() => leastSquaresFit(() => [1], [])).toThrow(
      new RangeError("Cannot fit by least squares: need at least 1 value, got 0"),
    );
    expect(() => leastSquaresFit(() => [1], [NaN])).toThrow(
      new RangeError("Cannot fit by least squares: every value must be a finite number, got NaN at index 0"),
    );
  });
});

describe("clusterRobustCovariance()", () => {
  test("is absent with no more clusters than parameters", () => {
    const fit = leastSquaresFit(decay(noisy), [1, 1]);
    if (fit.status !== "converged") expect.fail(fit.reason);
    expect(clusterRobustCovariance(fit, [1, 1, 1, 1, 2, 2, 2, 2])).toMatchObject({ absent: "too few" });
    expect(clusterRobustCovariance(fit, [1, 1, 2, 2, 3, 3, 4, 4])).toMatchObject({
      degreesOfFreedom: 3,
      clusters: 4,
    });
  });
});

describe("waldEstimate()", () => {
  test("is absent where the error is not finite or no degree of freedom is left", () => {
    expect(waldEstimate(1, NaN, { n: {} })).toMatchObject({ absent: "undefined" });
    expect(waldEstimate(1, 1, { n: {}, degreesOfFreedom: 0 })).toMatchObject({ absent: "too few" });
    expect(() => waldEstimate(1, -1, { n: {} })).toThrow(
      new RangeError("Cannot give an estimate: standard error must be 0 or above, got -1"),
    );
  });
});
