import { describe, expect, test } from "vitest";
import { crossValidate } from "../../lib/model/cross_validate.ts";
import { type Folds, groupFolds } from "../../lib/model/folds.ts";
import { outcomeForest } from "../../lib/model/forest.ts";
import { permutationImportance } from "../../lib/model/permutation_importance.ts";
import { learningTables } from "../../lib/model/season_tables.ts";
import { takeFeatures, takeRows } from "../../lib/model/feature_table.ts";
import { toneRule } from "../../lib/model/tone_rule.ts";
import { isPresent } from "../../lib/numbers/mod.ts";
import { madeSeason } from "./_season.ts";

const table = learningTables(madeSeason({ signals: 240, sites: 8 }))[0]!;
const x = takeFeatures(table.x, ["centre", "asymmetry", "indicatedDepthCm"]);
const folds = groupFolds(x, table.outcome) as Folds;

const fail = (text: string): never => {
  throw new Error(text);
};

describe("permutationImportance()", () => {
  test("finds the centre a forest lives by, and nothing in a depth that was drawn without regard to the hole", () => {
    const engine = outcomeForest({ features: x.names, trees: 60 });
    const [centre, , depth] = permutationImportance(x, table.outcome, { seed: 1, folds, engine });
    if (!isPresent(centre!.lossGrowth) || !isPresent(depth!.lossGrowth)) throw new Error("absent");
    expect(centre!.lossGrowth.interval.low).toBeGreaterThan(0.2);
    expect(Math.abs(depth!.lossGrowth.value)).toBeLessThan(0.05);
    expect(centre!.lossGrowth.n).toEqual({ signals: x.n, sites: 8 });
  });
  test("is exactly nought for a feature the engine never looks at, and leaves the table as it was", () => {
    const before = takeRows(x, Array.from({ length: x.n }, (_, i) => i));
    const [, asymmetry] = permutationImportance(x, table.outcome, {
      seed: 1,
      folds,
      engine: toneRule(210),
      repeats: 2,
    });
    expect(asymmetry!.lossGrowth).toMatchObject({ value: 0 });
    expect(x).toEqual(before);
  });
  test("asks the models a validation kept, one a fold, as it asks those it fits itself", () => {
    const engine = outcomeForest({ features: x.names, trees: 20 });
    const [of] = crossValidate(x, table.outcome, { seed: 1, folds, engines: [engine], keepModels: true });
    if (of?.kind !== "predicted") throw new Error("refused");
    const options = { seed: 1, folds, engine, repeats: 2 };
    const refusing = { ...engine, fit: () => fail("fitted again") };
    expect(permutationImportance(x, table.outcome, { ...options, engine: refusing, models: of.models }))
      .toEqual(
        permutationImportance(x, table.outcome, options),
      );
    expect(() => permutationImportance(x, table.outcome, { ...options, models: of.models.slice(1) })).toThrow(
      `need a model for each of ${folds.count} folds, got ${folds.count - 1}`,
    );
  });
  test("shuffles groups together and refuses what is not there", () => {
    const groups = { all: ["centre", "asymmetry"] };
    const options = { seed: 1, folds, engine: toneRule(210), groups };
    expect(permutationImportance(x, table.outcome, options).map(({ name }) => name)).toEqual(["all"]);
    expect(permutationImportance(x, table.outcome, options)).toEqual(
      permutationImportance(x, table.outcome, options),
    );
    expect(() => permutationImportance(x, table.outcome, { ...options, groups: { a: ["dropout"] } })).toThrow(
      'Cannot tell importance: feature must be one of centre, asymmetry, indicatedDepthCm, got "dropout"',
    );
    expect(() => permutationImportance(x, table.outcome, { ...options, repeats: 0 })).toThrow(
      /repeats must be a whole number of 1/,
    );
  });
});
