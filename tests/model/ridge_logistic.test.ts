import { describe, expect, test } from "vitest";
import { chance, isPresent } from "../../lib/numbers/mod.ts";
import type { FeatureTable } from "../../lib/model/feature_table.ts";
import { ridgeCoefficients, ridgeLogistic } from "../../lib/model/ridge_logistic.ts";
import { classifierContract } from "./classifier_contract.ts";

/** One feature with a known slope of 1.5 a standard deviation, one of none; silence of the second tells of the goods. */
function made(seed: number, n: number): { x: FeatureTable; outcome: Uint8Array } {
  const stream = chance(seed, "tests/ridge");
  const told = new Float64Array(n),
    idle = new Float64Array(n),
    why = new Uint8Array(n),
    outcome = new Uint8Array(n);
  const site = Int32Array.from({ length: n }, (_, i) => i % 10);
  for (let i = 0; i < n; i++) {
    told[i] = 2 * stream.next() - 1;
    idle[i] = stream.normal();
    outcome[i] = stream.next() < 1 / (1 + Math.exp(-1.5 * told[i]! * Math.sqrt(3))) ? 1 : 0;
    if (stream.next() < (outcome[i] === 1 ? 0.4 : 0.1)) {
      idle[i] = NaN;
      why[i] = 1;
    }
  }
  return {
    x: {
      n,
      names: ["told", "idle"],
      columns: [told, idle],
      whyMissing: [new Uint8Array(n), why],
      groups: { site, outing: site, observer: site },
    },
    outcome,
  };
}

const features = ["told", "idle"];

describe("ridgeLogistic()", () => {
  classifierContract(() => ridgeLogistic(), { rowOrder: "same", weights: "taken" });
  test("learns from silence", () => {
    const { x, outcome } = made(1, 1000);
    const model = ridgeLogistic({ features }).fit(x, outcome, { seed: 1 });
    const asked = (reason: number) => ({
      ...x,
      n: 1,
      columns: [Float64Array.of(0), Float64Array.of(reason ? NaN : 0)],
      whyMissing: [Uint8Array.of(0), Uint8Array.of(reason)],
      groups: { site: Int32Array.of(0), outing: Int32Array.of(0), observer: Int32Array.of(0) },
    });
    const [heard, silent, unlogged] = [0, 1, 3].map((reason) => model.probabilities(asked(reason))[1]!);
    expect(silent!).toBeGreaterThan(heard! + 0.2);
    expect(Math.abs(unlogged! - heard!)).toBeLessThan(0.02);
  });
  test("refuses a lambda of nought", () => {
    const { x, outcome } = made(1, 20);
    expect(() => ridgeLogistic({ lambda: 0, features }).fit(x, outcome, { seed: 1 })).toThrow(
      "Cannot fit logistic: lambda must be above 0 and finite, got 0",
    );
  });
});

describe("ridgeCoefficients()", () => {
  test("has intervals that cover the truth in most of 40 made logs, and none far off", () => {
    let covered = 0;
    for (let seed = 1; seed <= 40; seed++) {
      const { x, outcome } = made(seed, 500);
      const [told] = ridgeCoefficients(x, outcome, { features, lambda: 0.5 });
      if (!told || !isPresent(told.logOdds)) throw new Error("absent");
      // perUnits is the standard deviation of the column as drawn in; the slope is 1.5 * sqrt(3) a unit of the column.
      const truth = 1.5 * Math.sqrt(3) * told.perUnits;
      if (told.logOdds.interval.low <= truth && truth <= told.logOdds.interval.high) covered++;
      expect(Math.abs(told.logOdds.value - truth)).toBeLessThan(0.6);
    }
    // A level of 95 %: under 34 of 40 would come by chance less than once in a hundred times.
    expect(covered).toBeGreaterThanOrEqual(34);
  });
  test("is absent with its reason where all signals lie at one site", () => {
    const { x, outcome } = made(1, 60);
    const one = { ...x, groups: { ...x.groups, site: new Int32Array(60) } };
    expect(ridgeCoefficients(one, outcome, { features })[0]!.logOdds).toMatchObject({ absent: "one site" });
  });
  test("names the switch of a missing value", () => {
    const { x, outcome } = made(1, 200);
    expect(ridgeCoefficients(x, outcome, { features }).map(({ column }) => column)).toEqual([
      "told",
      "idle",
      "idle silent",
    ]);
  });
});
