import { describe, expect, test } from "vitest";
import { crossValidate } from "../../lib/model/cross_validate.ts";
import { type FeatureTable, takeRows } from "../../lib/model/feature_table.ts";
import { type Folds, groupFolds } from "../../lib/model/folds.ts";
import { ridgeLogistic } from "../../lib/model/ridge_logistic.ts";
import { MOST_TO_TUNE, RIDGE_PENALTIES, ridgePenalty, USUAL_PENALTY } from "../../lib/model/ridge_penalty.ts";
import { chance } from "../../lib/numbers/mod.ts";

/** `told` features of which the first decides by `slope`, the others are noise; signals at `sites` sites. */
function made(
  { n = 120, told = 6, slope = 1, sites = 8, seed = 1 } = {},
): { x: FeatureTable; outcome: Uint8Array } {
  const stream = chance(seed, "tests/ridge penalty");
  const columns = Array.from({ length: told }, () => Float64Array.from({ length: n }, () => stream.normal()));
  const outcome = Uint8Array.from({ length: n }, (_, i) => {
    const good = stream.next() < 1 / (1 + Math.exp(-slope * columns[0]![i]!));
    return good ? 1 + stream.integer(2) : 0;
  });
  const site = Int32Array.from({ length: n }, (_, i) => i % sites);
  return {
    x: {
      n,
      names: columns.map((_, j) => `f${j}`),
      columns,
      whyMissing: columns.map(() => new Uint8Array(n)),
      groups: { site, outing: site, observer: site },
    },
    outcome,
  };
}

const foldsOf = (x: FeatureTable, outcome: Uint8Array): Folds => {
  const folds = groupFolds(x, outcome, { most: 5 });
  if (folds.kind !== "folds") throw new Error(folds.reason);
  return folds;
};

describe("ridgePenalty()", () => {
  test("the losses it chooses by are those of engines of fixed penalty on the same inner folds, and the least one is taken", () => {
    const { x, outcome } = made();
    const { lambda, tried } = ridgePenalty(x, outcome);
    expect(tried.map((each) => each.lambda)).toEqual(RIDGE_PENALTIES);
    for (const each of tried) {
      const engines = [ridgeLogistic({ lambda: each.lambda, features: x.names })];
      const [found] = crossValidate(x, outcome, { seed: 1, folds: foldsOf(x, outcome), engines });
      if (found?.kind !== "predicted") throw new Error("refused");
      const sum = outcome.reduce((total, code, i) => total - Math.log(found.probabilities[3 * i + code]!), 0);
      // Both iterations stop within 1e-7 of the best objective.
      expect(each.logLoss).toBeCloseTo(sum / x.n, 7);
    }
    expect(tried.find((each) => each.lambda === lambda)!.logLoss).toBe(
      Math.min(...tried.map((each) => each.logLoss)),
    );
  });
  test("holds back hard where the features tell nothing, and little where one tells nearly all", () => {
    const strengths = (slope: number, told: number) =>
      [1, 2, 3, 4, 5].map((seed) => {
        const { x, outcome } = made({ slope, told, seed });
        return ridgePenalty(x, outcome).lambda;
      });
    for (const lambda of strengths(0, 12)) expect(lambda).toBe(32);
    for (const lambda of strengths(8, 1)) expect(lambda).toBeLessThanOrEqual(2);
  });
  test("of strengths equally good takes the strongest: a table without a feature that varies", () => {
    const { x, outcome } = made({ told: 1 });
    const flat = { ...x, columns: [new Float64Array(x.n).fill(3)] };
    expect(ridgePenalty(flat, outcome).lambda).toBe(32);
  });
  test("a row of weight 0 has no say", () => {
    const { x, outcome } = made({ n: 80 });
    const half = [...outcome.keys()].filter((i) => i < 60);
    const weights = Float64Array.from(outcome, (_, i) => i < 60 ? 1 : 0);
    const part = { x: takeRows(x, half), outcome: Uint8Array.from(half, (i) => outcome[i]!) };
    expect(ridgePenalty(x, outcome, { weights })).toEqual(ridgePenalty(part.x, part.outcome));
  });
  test("takes the usual one where no fair inner split exists, and above the number from which it weighs little", () => {
    const { x, outcome } = made({ sites: 1 });
    expect(ridgePenalty(x, outcome)).toMatchObject({ lambda: USUAL_PENALTY, tried: [] });
    const many = made({ n: MOST_TO_TUNE + 1, told: 1 });
    expect(ridgePenalty(many.x, many.outcome)).toMatchObject({ lambda: USUAL_PENALTY, tried: [] });
  });
  test("refuses strengths that are none", () => {
    const { x, outcome } = made();
    for (const [penalties, got] of [[[2, 0], "0"], [[], "none"], [[Infinity], "Infinity"]] as const) {
      expect(() => ridgePenalty(x, outcome, { penalties })).toThrow(
        `Cannot choose penalty: need one or more, each above 0 and finite, got ${got}`,
      );
    }
  });
});

describe("ridgeLogistic() with a penalty of its own choice", () => {
  test("is the engine of that penalty fixed; the saved model states it and what it was chosen among", () => {
    const { x, outcome } = made();
    const chosen = ridgePenalty(x, outcome);
    const model = ridgeLogistic({ features: x.names }).fit(x, outcome, { seed: 1 });
    const fixed = ridgeLogistic({ features: x.names, lambda: chosen.lambda }).fit(x, outcome, { seed: 1 });
    expect(model.probabilities(x)).toEqual(fixed.probabilities(x));
    expect(model.toJSON().parameters).toMatchObject({ lambda: chosen.lambda, tried: chosen.tried });
    expect(fixed.toJSON().parameters).not.toHaveProperty("tried");
  });
  test("what is judged has no part in the choice: outcomes of a fold leave its own predictions as they are", () => {
    const { x, outcome } = made();
    const folds = foldsOf(x, outcome), engines = [ridgeLogistic({ features: x.names })];
    const predict = (codes: Uint8Array) => {
      const [found] = crossValidate(x, codes, { seed: 1, folds, engines });
      if (found?.kind !== "predicted") throw new Error("refused");
      return found.probabilities;
    };
    const other = outcome.map((code, i) => folds.of[i] === 2 ? (code + 1) % 3 : code);
    const before = predict(outcome), after = predict(other);
    for (const i of [...outcome.keys()].filter((row) => folds.of[row] === 2)) {
      expect(after.subarray(3 * i, 3 * i + 3)).toEqual(before.subarray(3 * i, 3 * i + 3));
    }
    expect(after).not.toEqual(before);
  });
});
