import { describe, expect, test } from "vitest";
import type { Classifier } from "../../lib/model/classifier.ts";
import { crossValidate } from "../../lib/model/cross_validate.ts";
import { takeFeatures, takeRows } from "../../lib/model/feature_table.ts";
import { type Folds, groupFolds } from "../../lib/model/folds.ts";
import { outcomeForest } from "../../lib/model/forest.ts";
import { partialDependence } from "../../lib/model/partial_dependence.ts";
import { learningTables } from "../../lib/model/season_tables.ts";
import { isPresent } from "../../lib/numbers/mod.ts";
import { madeSeason } from "./_season.ts";

const table = learningTables(madeSeason({ signals: 240, sites: 8 }))[0]!;
const x = takeFeatures(table.x, ["centre", "asymmetry", "indicatedDepthCm"]);
const folds = groupFolds(x, table.outcome) as Folds;
const valueOf = (estimate: Parameters<typeof isPresent>[0]): number => {
  if (!isPresent(estimate)) throw new Error(estimate.reason);
  return estimate.value;
};

/** Chances that add up from two features: what Friedman (2001, section 8.1) says partial dependence gives back, up to a constant. */
const additive: Classifier = {
  name: "additive",
  fit: () => ({
    probabilities: ({ n, columns }) =>
      Float64Array.from({ length: 3 * n }, (_, at) => {
        const i = (at - at % 3) / 3;
        const masked = 0.1 + 0.2 * columns[0]![i]! / 600, worth = masked + 0.01 * columns[2]![i]!;
        return [1 - worth, worth - masked, masked][at % 3]!;
      }),
    toJSON: () => {
      throw new Error("not saved");
    },
  }),
};

describe("partialDependence()", () => {
  test("gives back an additive part up to a constant (Friedman 2001, Annals of Statistics 29:1189)", () => {
    const [centre, depth] = partialDependence(x, table.outcome, {
      seed: 1,
      folds,
      engine: additive,
      features: ["centre", "indicatedDepthCm"],
    });
    const first = centre!.points[0]!;
    for (const { value, worth, masked } of centre!.points) {
      expect(valueOf(worth) - valueOf(first.worth)).toBeCloseTo(0.2 * (value - first.value) / 600, 9);
      expect(valueOf(masked)).toBeCloseTo(0.1 + 0.2 * value / 600, 9);
    }
    const shallow = depth!.points[0]!;
    for (const { value, worth } of depth!.points) {
      expect(valueOf(worth) - valueOf(shallow.worth)).toBeCloseTo(0.01 * (value - shallow.value), 9);
    }
  });
  test("a forest's chance of being worth a hole rises with the centre, and a depth drawn by lot leaves it flat", () => {
    const before = takeRows(x, Array.from({ length: x.n }, (_, i) => i));
    const [centre, depth] = partialDependence(x, table.outcome, {
      seed: 1,
      folds,
      engine: outcomeForest({ features: x.names, trees: 60 }),
      features: ["centre", "indicatedDepthCm"],
    });
    expect(x).toEqual(before);
    expect(centre!.points.length).toBe(9);
    const ends = (points: typeof centre) =>
      valueOf(points!.points.at(-1)!.worth) - valueOf(points!.points[0]!.worth);
    expect(ends(centre)).toBeGreaterThan(0.5);
    expect(Math.abs(ends(depth))).toBeLessThan(0.1);
    expect(centre!.points[0]!.worth.n.sites).toBe(8);
    expect(centre!.points[0]!.worth.n.signals).toBe(x.whyMissing[0]!.filter((why) => why === 0).length);
  });
  test("has no points for a feature that is one value or missing, and refuses what is not there", () => {
    const flat = { ...x, columns: [x.columns[0]!, x.columns[1]!, new Float64Array(x.n).fill(7)] };
    const options = { seed: 1, folds, engine: additive };
    expect(partialDependence(flat, table.outcome, { ...options, features: ["indicatedDepthCm"] })[0]!.points)
      .toEqual([]);
    expect(() => partialDependence(x, table.outcome, { ...options, features: ["dropout"] })).toThrow(
      'Cannot tell dependence: feature must be one of centre, asymmetry, indicatedDepthCm, got "dropout"',
    );
    expect(() => partialDependence(x, table.outcome, { ...options, features: [], most: 1 })).toThrow(
      "Cannot tell dependence: most must be a whole number of 2 or above, got 1",
    );
  });
  test("asks the models of the folds where they were kept, and needs one for each", () => {
    const engine = outcomeForest({ trees: 5 }), options = { seed: 1, folds, engine, features: ["centre"] };
    const [found] = crossValidate(x, table.outcome, { seed: 1, folds, engines: [engine], keepModels: true });
    if (found?.kind !== "predicted") throw new Error("refused");
    expect(partialDependence(x, table.outcome, { ...options, models: found.models })).toEqual(
      partialDependence(x, table.outcome, options),
    );
    expect(() => partialDependence(x, table.outcome, { ...options, models: found.models.slice(1) })).toThrow(
      `Cannot tell dependence: need a model for each of ${folds.count} folds, got ${folds.count - 1}`,
    );
  });
});
