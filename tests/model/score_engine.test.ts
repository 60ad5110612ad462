import { describe, expect, test } from "vitest";
import { isPresent } from "../../lib/numbers/mod.ts";
import { likeliest, scoreEngine } from "../../lib/model/score_engine.ts";

const probabilities = Float64Array.of(0.7, 0.2, 0.1, 0.2, 0.5, 0.3, 0.1, 0.3, 0.6, 0.5, 0.3, 0.2);
const outcome = Uint8Array.of(0, 1, 2, 1), site = Int32Array.of(0, 0, 1, 2);

describe("scoreEngine()", () => {
  const score = scoreEngine("mine", { outcome, probabilities, site });
  test("has log loss, Brier score and accuracy as worked by hand", () => {
    if (!isPresent(score.logLoss) || !isPresent(score.brier) || !isPresent(score.accuracy)) {
      throw new Error("absent");
    }
    expect(score.logLoss.value).toBeCloseTo(
      -(Math.log(0.7) + Math.log(0.5) + Math.log(0.6) + Math.log(0.3)) / 4,
      12,
    );
    // 0.09+0.04+0.01, 0.04+0.25+0.09, 0.01+0.09+0.16, 0.25+0.49+0.04
    expect(score.brier.value).toBeCloseTo((0.14 + 0.38 + 0.26 + 0.78) / 4, 12);
    expect(score.accuracy.value).toBe(0.75);
    expect(score.accuracy.n).toEqual({ signals: 4, sites: 3 });
  });
  test("counts rows as outcomes and columns as what was likeliest", () => {
    expect(score.confusion).toEqual([[1, 0, 0], [1, 1, 0], [0, 0, 1]]);
    expect(score.recall[1]).toMatchObject({ value: 0.5, n: { signals: 2, sites: 2 } });
    expect(score.precision[0]).toMatchObject({ value: 0.5 });
  });
  test("an outcome nobody met, or never called, is absent with its reason, not 0", () => {
    const only = scoreEngine("mine", {
      outcome: Uint8Array.of(0, 0),
      probabilities: Float64Array.of(0.8, 0.1, 0.1, 0.6, 0.3, 0.1),
      site: Int32Array.of(0, 1),
    });
    expect(only.recall[2]).toMatchObject({ absent: "none met" });
    expect(only.precision[1]).toMatchObject({ absent: "never called" });
  });
  test("of equals the first is likeliest", () => {
    expect([...likeliest(Float64Array.of(0.4, 0.4, 0.2, 0.2, 0.4, 0.4))]).toEqual([0, 1]);
  });
  test("refuses lengths that differ and a probability of nought", () => {
    expect(() => scoreEngine("mine", { outcome, probabilities, site: Int32Array.of(0) })).toThrow(
      /^Cannot score mine: need 3/,
    );
    expect(() =>
      scoreEngine("mine", {
        outcome: Uint8Array.of(1),
        probabilities: Float64Array.of(1, 0, 0),
        site: Int32Array.of(0),
      })
    )
      .toThrow("Cannot score mine: the probability of what came out must be above 0, got 0 in row 0");
  });
});
