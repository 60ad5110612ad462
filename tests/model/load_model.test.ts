import { describe, expect, test } from "vitest";
import { loadModel } from "../../lib/model/load_model.ts";
import { outcomeForest } from "../../lib/model/forest.ts";
import { ridgeLogistic } from "../../lib/model/ridge_logistic.ts";
import { learningTables } from "../../lib/model/season_tables.ts";
import { madeSeason } from "./_season.ts";

const { x, outcome } = learningTables(madeSeason({ signals: 80 }))[0]!;
const saved = () => JSON.parse(JSON.stringify(outcomeForest({ trees: 3 }).fit(x, outcome, { seed: 1 })));

describe("loadModel()", () => {
  test("refuses what is no model of this version as a SyntaxError", () => {
    for (
      const bad of [null, 7, "model", [], {}, { ...saved(), schema: "overiron-model/2" }, {
        ...saved(),
        engine: "other",
      }]
    ) {
      expect(() => loadModel(bad)).toThrow(SyntaxError);
      expect(() => loadModel(bad)).toThrow(
        /^Cannot load model: the file must be a saved model of this version/,
      );
    }
  });
  test("refuses a forest that is truncated, loops, or asks for what is not there", () => {
    const forest = saved();
    forest.parameters.trees[0].left.pop();
    expect(() => loadModel(forest)).toThrow(/lists must fit together/);
    const loop = saved();
    const split = loop.parameters.trees[0].feature.findIndex((j: number) => j >= 0);
    loop.parameters.trees[0].left[split] = 0;
    expect(() => loadModel(loop)).toThrow(/lead downwards/);
    const beyond = saved();
    beyond.parameters.trees[0].feature[split] = 99;
    expect(() => loadModel(beyond)).toThrow(SyntaxError);
    const extra = { ...saved(), __proto__x: 1 };
    expect(() => loadModel(extra)).toThrow(SyntaxError);
    const shares = saved();
    shares.parameters.trees[0].shares[0] = 2;
    expect(() => loadModel(shares)).toThrow(SyntaxError);
  });
  test("refuses a logistic model with a coefficient missing or not finite", () => {
    const model = JSON.parse(JSON.stringify(ridgeLogistic().fit(x, outcome, { seed: 1 })));
    model.parameters.coefficients.pop();
    expect(() => loadModel(model)).toThrow(/one coefficient a column/);
    model.parameters.coefficients.push(null);
    expect(() => loadModel(model)).toThrow(SyntaxError);
  });
  test("refuses models nested in models", () => {
    let model: unknown = { ...saved() };
    for (let depth = 0; depth < 3; depth++) {
      model = { ...saved(), engine: "two-classes", parameters: { inner: model, maskedShare: 0.4 } };
    }
    expect(() => loadModel(model)).toThrow(SyntaxError);
  });
});
