import { describe, expect, test } from "vitest";
import { baseRates } from "../../lib/model/base_rates.ts";
import type { Classifier } from "../../lib/model/classifier.ts";
import { crossValidate } from "../../lib/model/cross_validate.ts";
import { type Folds, groupFolds } from "../../lib/model/folds.ts";
import { learningTables } from "../../lib/model/season_tables.ts";
import { madeSeason } from "./_season.ts";

const { x, outcome } = learningTables(madeSeason({ signals: 80, sites: 4 }))[0]!;
const folds = groupFolds(x, outcome) as Folds;

describe("crossValidate()", () => {
  test("never shows an engine the rows it is asked about", () => {
    const seen: { learnt: Set<number>; asked: Set<number> }[] = [];
    const centre = x.columns[x.names.indexOf("centre")]!;
    const spy: Classifier = {
      name: "spy",
      fit(learnt, codes, options) {
        const sites = new Set(learnt.groups.site);
        const model = baseRates().fit(learnt, codes, options);
        return {
          ...model,
          probabilities(asked) {
            seen.push({ learnt: sites, asked: new Set(asked.groups.site) });
            return model.probabilities(asked);
          },
        };
      },
    };
    crossValidate(x, outcome, { seed: 1, folds, engines: [spy] });
    expect(seen).toHaveLength(folds.count);
    for (const { learnt, asked } of seen) for (const site of asked) expect(learnt.has(site)).toBe(false);
    expect(centre.length).toBe(x.n);
  });
  test("gives the base rates of the other folds", () => {
    const [out] = crossValidate(x, outcome, { seed: 1, folds, engines: [baseRates()] });
    if (out!.kind !== "predicted") throw new Error(out!.reason);
    for (let i = 0; i < x.n; i++) {
      const others = [...outcome].filter((_, row) => folds.of[row] !== folds.of[i]);
      const share = others.filter((code) => code === 2).length / others.length;
      expect(out!.probabilities[3 * i + 2]).toBeCloseTo(
        (others.length * share + 1) / (others.length + 3),
        12,
      );
    }
  });
  test("turns an engine's refusal into a reason and goes on", () => {
    const shy: Classifier = {
      name: "shy",
      fit() {
        throw new RangeError("Cannot fit shy: need more, got this");
      },
    };
    const out = crossValidate(x, outcome, { seed: 1, folds, engines: [shy, baseRates()] });
    expect(out[0]).toEqual({ kind: "refused", name: "shy", reason: "Cannot fit shy: need more, got this" });
    expect(out[1]!.kind).toBe("predicted");
  });
  test("passes on a bug, and refuses engines of one name", () => {
    const broken: Classifier = {
      name: "broken",
      fit() {
        throw new TypeError("undefined is not a function");
      },
    };
    expect(() => crossValidate(x, outcome, { seed: 1, folds, engines: [broken] })).toThrow(TypeError);
    expect(() => crossValidate(x, outcome, { seed: 1, folds, engines: [baseRates(), baseRates()] })).toThrow(
      "Cannot cross-validate: engines need different names, got base rates, base rates",
    );
  });
});
