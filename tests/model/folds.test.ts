import { describe, expect, test } from "vitest";
import { type Folds, groupFolds } from "../../lib/model/folds.ts";
import { crossValidate } from "../../lib/model/cross_validate.ts";
import { outcomeForest } from "../../lib/model/forest.ts";
import { scoreEngine } from "../../lib/model/score_engine.ts";
import { learningTables } from "../../lib/model/season_tables.ts";
import { chance, isPresent } from "../../lib/numbers/mod.ts";
import type { FeatureTable } from "../../lib/model/feature_table.ts";
import { madeSeason } from "./_season.ts";

function grouped(site: number[], outing: number[] = site): FeatureTable {
  const s = Int32Array.from(site), o = Int32Array.from(outing);
  return {
    n: site.length,
    names: [],
    columns: [],
    whyMissing: [],
    groups: { site: s, outing: o, observer: s },
  };
}

function expectWhole(folds: Folds, group: Int32Array): void {
  const seen = new Map<number, number>();
  folds.of.forEach((fold, i) => {
    expect(seen.get(group[i]!) ?? fold).toBe(fold);
    seen.set(group[i]!, fold);
  });
}

describe("groupFolds()", () => {
  test("keeps every site whole and most of each outcome in every training part, over many seasons", () => {
    for (let seed = 1; seed <= 20; seed++) {
      const stream = chance(seed, "tests/folds");
      const sites = 3 + stream.integer(9), n = 60 + stream.integer(100);
      const site = Array.from({ length: n }, () => stream.integer(sites));
      const outcome = Uint8Array.from(
        { length: n },
        () => stream.next() < 0.6 ? 0 : stream.next() < 0.6 ? 1 : 2,
      );
      const folds = groupFolds(grouped(site), outcome);
      if (folds.kind !== "folds" || folds.unit !== "site") throw new Error(JSON.stringify(folds));
      expectWhole(folds, Int32Array.from(site));
      for (let fold = 0; fold < folds.count; fold++) {
        const test = [0, 0, 0], all = [0, 0, 0];
        outcome.forEach((code, i) => {
          all[code]!++;
          if (folds.of[i] === fold) test[code]!++;
        });
        expect(test.some((count) => count > 0)).toBe(true);
        test.forEach((count, k) => expect(all[k]! - count).toBeGreaterThanOrEqual(0.5 * all[k]!));
      }
    }
  });
  test("packs, where one site holds most masked goods, and takes fewer folds rather than starve one", () => {
    // Site 0 holds 6 of 10 masked goods: a fold with it would leave under half to learn from, so outings stand in.
    const site = [...Array(6).fill(0), 1, 1, 2, 2, ...Array(20).fill(0).map((_, i) => i % 3)];
    const outcome = Uint8Array.from([...Array(10).fill(2), ...Array(20).fill(0)]);
    const outing = site.map((_, i) => i % 6);
    const folds = groupFolds(grouped(site, outing), outcome);
    if (folds.kind !== "folds") throw new Error(folds.reason);
    expect(folds.unit).toBe("outing");
    expect(folds.reason).toMatch(/outings stand in for sites/);
    expectWhole(folds, Int32Array.from(outing));
  });
  test("refuses in a type, not by throwing, where nothing can be split fairly", () => {
    expect(groupFolds(grouped([0, 0, 0, 0]), Uint8Array.of(0, 1, 0, 1))).toMatchObject({
      kind: "refused",
      refused: "no fair split",
    });
    expect(groupFolds(grouped([0, 1, 2]), Uint8Array.of(1, 1, 1))).toMatchObject({
      kind: "refused",
      refused: "one outcome",
    });
    expect(groupFolds(grouped([]), new Uint8Array(0))).toMatchObject({
      kind: "refused",
      refused: "one outcome",
    });
  });
  test("gives the same folds when sites are numbered the other way round", () => {
    const site = Array.from({ length: 60 }, (_, i) => i % 5);
    const outcome = Uint8Array.from({ length: 60 }, (_, i) => i % 7 === 0 ? 2 : i % 2);
    const folds = groupFolds(grouped(site), outcome) as Folds;
    expect(folds.count).toBe(5);
    expect(groupFolds(grouped(site), outcome)).toEqual(folds);
  });
  test("refuses options out of range in words", () => {
    const table = grouped([0, 1]);
    expect(() => groupFolds(table, Uint8Array.of(0, 1), { most: 1 })).toThrow(
      "Cannot make folds: most must be a whole number of 2 or above, got 1",
    );
    expect(() => groupFolds(table, Uint8Array.of(0, 1), { keep: 2 })).toThrow(/keep must be within 0..1/);
    expect(() => groupFolds(table, Uint8Array.of(0))).toThrow(/one outcome a row/);
  });
});

describe("whole sites beside random folds", () => {
  test("random folds flatter when sites differ: the log loss they show is lower", () => {
    // Sites shift their readings a lot, so a model that has seen the site knows it again. Mean over five seasons.
    let random = 0, whole = 0;
    for (let seed = 1; seed <= 5; seed++) {
      const { x, outcome } = learningTables(madeSeason({ seed, signals: 240, sites: 6, siteShift: 70 }))[0]!;
      const site = x.groups.site;
      const fair = groupFolds(x, outcome) as Folds;
      const stream = chance(seed, "tests/random folds");
      const loose: Folds = { ...fair, of: Int32Array.from(site, () => stream.integer(fair.count)) };
      // The forest is given what tells sites apart as well: the iron level of each.
      const known = {
        ...x,
        names: [...x.names, "siteMark"],
        columns: [...x.columns, Float64Array.from(site)],
        whyMissing: [...x.whyMissing, new Uint8Array(x.n)],
      };
      const engine = outcomeForest({ features: ["centre", "siteMark"], trees: 60 });
      for (const folds of [loose, fair]) {
        const [out] = crossValidate(known, outcome, { seed: 1, folds, engines: [engine] });
        if (out!.kind !== "predicted") throw new Error(out!.reason);
        const { logLoss } = scoreEngine("forest", { outcome, probabilities: out!.probabilities, site });
        if (!isPresent(logLoss)) throw new Error("absent");
        if (folds === fair) whole += logLoss.value / 5;
        else random += logLoss.value / 5;
      }
    }
    expect(whole - random).toBeGreaterThan(0.03);
  });
});
