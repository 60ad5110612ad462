import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  conformalCoverage,
  conformalScores,
  conformalSets,
  conformalThreshold,
  correctVerificationBias,
  dCriterion,
  designCovariance,
  exchangeDesign,
  measured,
  slopePower,
  slopeSampleSize,
} from "../../lib/numbers/mod.ts";

describe("conformal sets", () => {
  test("too few cases for a share let every class in", () => {
    const threshold = conformalThreshold([0.1, 0.2], 0.1);
    expect(threshold).toMatchObject({ absent: "too few", n: { cases: 2 } });
    expect(conformalSets([[0.9, 0.1, 0]], [threshold])).toEqual([[0, 1, 2]]);
    expect(conformalThreshold([], 0.1)).toMatchObject({ absent: "too few" });
    expect(conformalCoverage(3)).toMatchObject({ absent: "too few" });
  });
  test("a set with the crossing class is never empty and holds the set without", () => {
    const row = fc.array(fc.integer({ min: 1, max: 50 }), { minLength: 3, maxLength: 3 }).map((weights) => {
      const sum = weights.reduce((total, weight) => total + weight, 0);
      return weights.map((weight) => weight / sum);
    });
    fc.assert(
      fc.property(row, fc.double({ min: 0.05, max: 1, noNaN: true }), (p, q) => {
        const threshold = [measured(q, {})];
        const [plain] = conformalSets([p], threshold, { kind: "adaptive" });
        const [crossing] = conformalSets([p], threshold, { kind: "adaptive", withCrossing: true });
        expect(crossing!.length).toBeGreaterThan(0);
        for (const k of plain!) expect(crossing).toContain(k);
      }),
      { seed: 1 },
    );
  });
  test("refusals say the rule and the value", () => {
    expect(() => conformalScores([[0.5, 0.5]], [2])).toThrow(
      new RangeError("Cannot score a case: an outcome must be a class from 0 to 1, got 2"),
    );
    expect(() => conformalScores([[0.5, 0.5]], [0], { randomisers: [0.1] })).toThrow(
      new RangeError("Cannot score a case: randomisers have no effect on the least-ambiguous score"),
    );
    expect(() => conformalSets([[0.5, 0.5]], [])).toThrow(
      new RangeError("Cannot make sets: need 1 or 2 thresholds, got 0"),
    );
  });
});

describe("designs", () => {
  test("trials that cannot tell the parameters apart have criterion 0 and no covariance", () => {
    expect(dCriterion([[1, 2], [1, 2], [1, 2]])).toBe(0);
    expect(designCovariance([[1, 2], [1, 2]])).toMatchObject({ absent: "singular" });
    expect(exchangeDesign([[1, 2], [2, 4]], { trials: 3 })).toMatchObject({ absent: "singular" });
  });
  test("exchangeDesign() puts a parabola's trials at both ends and the middle", () => {
    const x = Array.from({ length: 21 }, (_, i) => -1 + i / 10);
    const picked = exchangeDesign(x.map((value) => [1, value, value * value]), { trials: 6 });
    if ("absent" in picked) expect.fail(picked.reason);
    expect(picked).toEqual([0, 0, 10, 10, 20, 20]);
  });
  test("exchangeDesign() adds to what stands already", () => {
    const picked = exchangeDesign([[1, -1], [1, 0], [1, 1]], { trials: 2, standing: [[1, -1], [1, -1]] });
    expect(picked).toEqual([2, 2]);
  });
  test("exchangeDesign() never loses to a random choice", () => {
    const candidates = Array.from({ length: 15 }, (_, i) => [1, Math.exp(-i / 4), i * Math.exp(-i / 4)]);
    const best = exchangeDesign(candidates, { trials: 5 });
    if ("absent" in best) expect.fail(best.reason);
    const reached = dCriterion(best.map((i) => candidates[i]!));
    fc.assert(
      fc.property(fc.array(fc.nat(14), { minLength: 5, maxLength: 5 }), (choice) => {
        expect(dCriterion(choice.map((i) => candidates[i]!))).toBeLessThanOrEqual(reached * (1 + 1e-9));
      }),
      { seed: 1, numRuns: 500 },
    );
  });
  test("power rises with trials, from alpha for a slope near 0", () => {
    const study = { slope: 0.4, errorDeviation: 1, xDeviation: 1 };
    let before = 0;
    for (const trials of [3, 10, 30, 100]) {
      const power = slopePower(study, { trials });
      expect(power).toBeGreaterThan(before);
      before = power;
    }
    expect(slopePower({ ...study, slope: 1e-9 }, { trials: 20, alpha: 0.05 })).toBeCloseTo(0.05, 9);
    expect(slopePower({ ...study, slope: 50 }, { trials: 200 })).toBeCloseTo(1, 12);
    const size = slopeSampleSize({ slope: 100, errorDeviation: 1, xDeviation: 1 });
    expect(size.trials).toBe(3);
  });
  test("refusals say the rule and the value", () => {
    expect(() => exchangeDesign([[1, 2], [1, 3]], { trials: 1 })).toThrow(
      new RangeError("Cannot plan trials: need at least 2 trials, got 1"),
    );
    expect(() => slopeSampleSize({ slope: 0, errorDeviation: 1, xDeviation: 1 })).toThrow(
      new RangeError("Cannot size a study: slope must be a number other than 0, got 0"),
    );
    expect(() => designCovariance([[1, 2], [1]])).toThrow(
      new RangeError("Cannot judge a design: every row must have 2 columns, got 1"),
    );
  });
});

describe("correctVerificationBias()", () => {
  test("changes nothing where everything was verified", () => {
    const result = correctVerificationBias({ total: 30, verifiedYes: 20, verifiedNo: 10 }, {
      calledNo: { total: 50, verifiedYes: 5, verifiedNo: 45 },
    });
    if ("absent" in result || "absent" in result.sensitivity) expect.fail("absent");
    expect(result.sensitivity.value).toBeCloseTo(result.naiveSensitivity, 12);
    expect(result.sensitivity.value).toBeCloseTo(20 / 25, 12);
  });
  test("is absent with an empty cell and refuses counts that contradict each other", () => {
    const no = { total: 5, verifiedYes: 1, verifiedNo: 1 };
    expect(correctVerificationBias({ total: 5, verifiedYes: 0, verifiedNo: 3 }, { calledNo: no }))
      .toMatchObject({
        absent: "too few",
        n: { cases: 10, verified: 5 },
      });
    expect(() => correctVerificationBias({ total: 2, verifiedYes: 2, verifiedNo: 1 }, { calledNo: no }))
      .toThrow(
        new RangeError("Cannot correct for verification: verified cases must be at most the total 2, got 3"),
      );
  });
});
