import { describe, expect, test } from "vitest";
import { baseRates } from "../../lib/model/base_rates.ts";
import { ridgeLogistic } from "../../lib/model/ridge_logistic.ts";
import { learningTables } from "../../lib/model/season_tables.ts";
import { twoClasses } from "../../lib/model/two_classes.ts";
import { classifierContract } from "./classifier_contract.ts";
import { madeSeason } from "./_season.ts";

describe("twoClasses()", () => {
  classifierContract(() => twoClasses(ridgeLogistic()), { rowOrder: "same", weights: "taken" });
  const { x, outcome } = learningTables(madeSeason({ signals: 120 }))[0]!;
  test("shares the goods out as the log does, and tells ferrous as the engine does", () => {
    const merged = outcome.map((code) => code > 0 ? 1 : 0);
    const inner = ridgeLogistic().fit(x, merged, { seed: 1 }).probabilities(x);
    const p = twoClasses(ridgeLogistic()).fit(x, outcome, { seed: 1 }).probabilities(x);
    const plain = outcome.filter((code) => code === 1).length,
      masked = outcome.filter((code) => code === 2).length;
    const lift = (at: number) => ((x.n + 3) * at - 1) / x.n;
    for (let i = 0; i < x.n; i++) {
      expect(lift(p[3 * i]!)).toBeCloseTo(lift(inner[3 * i]!), 9);
      const goods = lift(p[3 * i + 1]!) + lift(p[3 * i + 2]!);
      expect(lift(p[3 * i + 2]!)).toBeCloseTo(goods * masked / (plain + masked), 9);
    }
  });
  test("of the base rates gives the base rates", () => {
    const two = twoClasses(baseRates()).fit(x, outcome, { seed: 1 }).probabilities(x);
    const three = baseRates().fit(x, outcome, { seed: 1 }).probabilities(x);
    two.forEach((p, i) => expect(p).toBeCloseTo(three[i]!, 9));
  });
});
