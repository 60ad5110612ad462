import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  blockPermutationTest,
  chance,
  inverseProbabilityMean,
  kruskalWallisTest,
  mcnemarTest,
  netBenefit,
  pairedTest,
  signFlipTest,
  welchTest,
} from "../../lib/numbers/mod.ts";

describe("tests of differences", () => {
  test("absences have reasons", () => {
    expect(mcnemarTest(0, 0)).toEqual({
      absent: "undefined",
      reason: "The two rules never disagree",
      n: { disagreements: 0 },
    });
    expect(pairedTest([1], [2])).toMatchObject({ absent: "too few", n: { pairs: 1 } });
    expect(pairedTest([1, 2], [2, 3])).toMatchObject({ absent: "undefined" });
    expect(welchTest([1], [2, 3])).toMatchObject({ absent: "too few" });
    expect(welchTest([1, 1], [2, 2])).toMatchObject({ absent: "undefined" });
    expect(kruskalWallisTest([[1, 2]])).toMatchObject({ absent: "too few" });
    expect(kruskalWallisTest([[1, 1], [1]])).toMatchObject({ absent: "undefined" });
    expect(kruskalWallisTest([[1], [2]])).toMatchObject({ absent: "too few" });
    expect(blockPermutationTest([1, 2], { treated: [1, 1], block: ["A", "A"] })).toMatchObject({
      absent: "undefined",
    });
    expect(inverseProbabilityMean([], [])).toMatchObject({ absent: "no cases" });
    expect(netBenefit({ n: 0, events: 0, truePositives: 0, falsePositives: 0, threshold: 0.5 }))
      .toMatchObject({
        absent: "no cases",
      });
  });
  test("p values lie in 0 to 1 and do not care which side is first", () => {
    const pairs = fc.array(fc.tuple(fc.integer({ min: -20, max: 20 }), fc.integer({ min: -20, max: 20 })), {
      minLength: 2,
      maxLength: 10,
    });
    fc.assert(
      fc.property(pairs, (list) => {
        const a = list.map(([x]) => x), b = list.map(([, y]) => y);
        const flips = signFlipTest(a.map((x, i) => x - b[i]!)),
          turned = signFlipTest(b.map((x, i) => x - a[i]!));
        expect(flips.pTwoSided).toBe(turned.pTwoSided);
        expect(flips.pTwoSided).toBeGreaterThanOrEqual(1 / flips.arrangements);
        expect(flips.pTwoSided).toBeLessThanOrEqual(1);
        const one = pairedTest(a, b), other = pairedTest(b, a);
        if ("p" in one && "p" in other) {
          expect(one.p).toBe(other.p);
          expect(one.t).toBe(-other.t);
        }
        const mcnemar = mcnemarTest(Math.abs(a[0]!), Math.abs(b[0]!));
        if ("pExact" in mcnemar) {
          for (const p of [mcnemar.p, mcnemar.pCorrected, mcnemar.pExact, mcnemar.pMid]) {
            expect(p).toBeGreaterThanOrEqual(0);
            expect(p).toBeLessThanOrEqual(1);
          }
          expect(mcnemar.pMid).toBeLessThanOrEqual(mcnemar.pExact);
        }
      }),
      { seed: 1 },
    );
  });
  test("drawn patterns agree with all of them, and need a seed", () => {
    const differences = [3, -1, 4, 1, -5, 9, 2, 6, -5, 3, 5, -8];
    const exact = signFlipTest(differences), drawn = signFlipTest(differences, { mostExact: 5, seed: 1 });
    expect(drawn.exact).toBe(false);
    // 20,000 draws: standard error 0.0035 at most.
    expect(Math.abs(drawn.pTwoSided - exact.pTwoSided)).toBeLessThan(0.014);
    expect(() => signFlipTest(differences, { mostExact: 5 })).toThrow(
      new RangeError("Cannot flip signs: 12 differences need a seed to draw from, got none"),
    );
  });
  test("drawn assignments agree with all of them, and blocks of one kind are left out", () => {
    const values = [5.1, 4.2, 6.3, 4.0, 7.7, 9.0, 8.1, 7.9, 100];
    const options = {
      treated: [1, 0, 1, 0, 0, 1, 1, 0, 1],
      block: ["A", "A", "A", "A", "B", "B", "B", "B", "C"],
    };
    const exact = blockPermutationTest(values, options);
    const drawn = blockPermutationTest(values, { ...options, mostExact: 1, seed: 1, replicates: 5000 });
    if ("absent" in exact || "absent" in drawn) expect.fail("absent");
    expect(exact.assignments).toBe(36);
    expect(drawn.difference).toBe(exact.difference);
    expect(Math.abs(drawn.pTwoSided - exact.pTwoSided)).toBeLessThan(4 * Math.sqrt(0.25 / 5000));
    expect(() => blockPermutationTest(values, { ...options, mostExact: 1 })).toThrow(
      new RangeError("Cannot permute within blocks: 36 assignments need a seed to draw from, got none"),
    );
  });
  test("inverse probabilities undo a biased look: 2000 cases, the high ones looked at more", () => {
    const draw = chance(3, "test/weights");
    const values: number[] = [], probabilities: number[] = [];
    let all = 0;
    for (let i = 0; i < 2000; i++) {
      const value = draw.normal(), p = value > 0 ? 0.8 : 0.2;
      all += value / 2000;
      if (draw.next() < p) values.push(value), probabilities.push(p);
    }
    const got = inverseProbabilityMean(values, probabilities);
    if ("absent" in got) expect.fail(got.reason);
    const plain = values.reduce((sum, value) => sum + value, 0) / values.length;
    expect(Math.abs(got.mean - all)).toBeLessThan(0.12);
    expect(plain - all).toBeGreaterThan(0.3);
    expect(got.effectiveCases).toBeLessThan(values.length);
  });
  test("refusals say the rule and the value", () => {
    expect(() => mcnemarTest(-1, 2)).toThrow(
      new RangeError("Cannot test two rules: onlyFirst must be a whole number of 0 or above, got -1"),
    );
    expect(() => inverseProbabilityMean([1], [0])).toThrow(
      new RangeError(
        "Cannot weight by probabilities: probabilities must be above 0 and at most 1, got 0 at index 0",
      ),
    );
    expect(() => netBenefit({ n: 10, events: 2, truePositives: 3, falsePositives: 0, threshold: 0.5 }))
      .toThrow(
        new RangeError(
          "Cannot give a net benefit: counts contradict each other, got 3 of 2 events and 0 of 8 others",
        ),
      );
    expect(() => netBenefit({ n: 1, events: 0, truePositives: 0, falsePositives: 0, threshold: 1 })).toThrow(
      new RangeError("Cannot give a net benefit: threshold must be inside 0 to 1, got 1"),
    );
  });
});
