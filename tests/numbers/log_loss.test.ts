import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  brierScore,
  isMeasured,
  logLoss,
  murphyDecomposition,
  rankedProbabilityScore,
  reliabilityTable,
} from "../../lib/numbers/mod.ts";

describe("scores of probabilities", () => {
  test("no case gives no score", () => {
    for (const score of [logLoss, brierScore, rankedProbabilityScore]) {
      expect(score([], [])).toEqual({
        absent: "no cases",
        reason: "There is no case to score",
        n: { cases: 0 },
      });
    }
  });
  test("logLoss() is absent where something came that had probability 0", () => {
    expect(logLoss([[1, 0]], [1])).toEqual({
      absent: "infinite",
      reason: "Something came that had been given probability 0",
      n: { cases: 1 },
    });
  });
  test("`rows` picks cases, with repeats", () => {
    const p = [[0.5, 0.5], [0.9, 0.1]];
    const twice = logLoss(p, [0, 0], { rows: [1, 1] });
    if (!isMeasured(twice)) expect.fail(twice.reason);
    expect(twice.value).toBeCloseTo(-Math.log(0.9), 14);
    expect(twice.n).toEqual({ cases: 2 });
  });
  test("honest forecasts score best on average: both scores are proper", () => {
    const share = fc.integer({ min: 1, max: 19 });
    fc.assert(
      fc.property(share, share, (truth, said) => {
        const q = truth / 20;
        const mean = (score: typeof logLoss, p: number) => {
          const yes = score([[1 - p, p]], [1]), no = score([[1 - p, p]], [0]);
          if (!isMeasured(yes) || !isMeasured(no)) return Infinity;
          return q * yes.value + (1 - q) * no.value;
        };
        for (const score of [logLoss, brierScore]) {
          expect(mean(score, q)).toBeLessThanOrEqual(mean(score, said / 20) + 1e-12);
        }
      }),
      { seed: 1 },
    );
  });
  test("Murphy's parts add up to the half Brier score of the cases themselves", () => {
    const cases = fc.array(fc.tuple(fc.integer({ min: 0, max: 10 }), fc.integer({ min: 0, max: 1 })), {
      minLength: 1,
      maxLength: 40,
    });
    fc.assert(
      fc.property(cases, (list) => {
        const p = list.map(([k]) => k / 10), y = list.map(([, came]) => came);
        const parts = murphyDecomposition(reliabilityTable(p, y));
        const score = brierScore(p.map((q) => [1 - q, q]), y, { form: "half" });
        if (!("brier" in parts) || !isMeasured(score)) expect.fail("no score");
        expect(parts.brier).toBeCloseTo(score.value, 12);
        expect(parts.reliability - parts.resolution + parts.uncertainty).toBeCloseTo(score.value, 12);
      }),
      { seed: 2 },
    );
  });
  test("Murphy's skill is absent where all outcomes are alike, the parts where there is no line", () => {
    expect(murphyDecomposition([{ forecast: 0.2, frequency: 0, weight: 3 }])).toMatchObject({
      skill: { absent: "undefined" },
    });
    expect(murphyDecomposition([])).toMatchObject({ absent: "no cases" });
  });
  test("refusals say the rule and the value", () => {
    expect(() => logLoss([[0.5, 0.4]], [0])).toThrow(
      new RangeError("Cannot score: a row must hold 2 probabilities that add up to 1, got 0.9 in row 0"),
    );
    expect(() => logLoss([[1.5, -0.5]], [0])).toThrow(
      new RangeError("Cannot score: probabilities must be from 0 to 1, got 1.5 in row 0"),
    );
    expect(() => brierScore([[0.5, 0.5]], [2])).toThrow(
      new RangeError("Cannot score: an outcome must be a class from 0 to 1, got 2 in row 0"),
    );
    expect(() => logLoss([[0.5, 0.5]], [])).toThrow(
      new RangeError("Cannot score: need one outcome a row, got 0 for 1 rows"),
    );
    expect(() => logLoss(new Float64Array([0.5, 0.5]), [0])).toThrow(
      new RangeError("Cannot score: the number of classes must be given with one flat array, got NaN"),
    );
    expect(() => logLoss([[0.5, 0.5]], [0], { rows: [3] })).toThrow(
      new RangeError("Cannot score: no case has the index 3"),
    );
  });
});
