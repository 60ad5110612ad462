import { describe, expect, test } from "vitest";
import type { Season } from "../../lib/log/mod.ts";
import { baseRates } from "../../lib/model/base_rates.ts";
import { crossValidate } from "../../lib/model/cross_validate.ts";
import { type Folds, groupFolds } from "../../lib/model/folds.ts";
import { ridgeLogistic } from "../../lib/model/ridge_logistic.ts";
import { learningTables } from "../../lib/model/season_tables.ts";
import { throughTime } from "../../lib/model/through_time.ts";
import { isPresent } from "../../lib/numbers/mod.ts";
import { madeSeason, passesOf } from "./_season.ts";

const engine = ridgeLogistic({ features: ["centre"] });
const months = ["2025-03", "2025-04", "2025-05", "2025-06", "2025-07", "2025-08"];

/** Signals over six months; from June on readings can lie higher by `lift`, as if a setting had changed. */
function dated(lift: number, day = "", seed = 1): Season {
  const season = madeSeason({ seed, signals: 360, sites: 9 });
  const signals = season.signals.map((signal, i) => {
    const month = months[Math.floor(i / 60)]!;
    const up = (passes: typeof signal.right) =>
      passes && month >= "2025-07"
        ? passesOf(passes.readings.map((reading) => Math.min(600, reading + lift)), passes.silent)
        : passes;
    return { ...signal, date: `${month}${day}`, right: up(signal.right), left: up(signal.left) };
  });
  return { ...season, signals };
}

function run(season: Season) {
  const table = learningTables(season)[0]!;
  const folds = groupFolds(table.x, table.outcome) as Folds;
  const [found] = crossValidate(table.x, table.outcome, { seed: 1, folds, engines: [engine] });
  if (found?.kind !== "predicted") throw new Error("refused");
  return throughTime(table, { seed: 1, engine, baseRates: baseRates(), outOfFold: found.probabilities });
}

describe("throughTime()", () => {
  test("learns from the months before the cut nearest to two thirds, judges the rest", () => {
    const found = run(dated(0));
    if ("absent" in found) throw new Error(found.reason);
    expect(found.early).toEqual(["2025-03", "2025-06"]);
    expect(found.late).toEqual(["2025-07", "2025-08"]);
    const known = learningTables(dated(0))[0]!.x.n;
    expect(found.learntFrom + found.judged).toBe(known);
    expect(found.atKnownSites).toBe(found.judged);
    if (!isPresent(found.underBaseRates)) throw new Error("absent");
    expect(found.underBaseRates.interval.low).toBeGreaterThan(0.1);
    expect(found.logLoss.n).toEqual({ signals: found.judged, sites: 9 });
  });
  test("sees readings that moved between the early months and the later", () => {
    const found = run(dated(150));
    if ("absent" in found || !isPresent(found.aboveOtherSites)) throw new Error("absent");
    expect(found.aboveOtherSites.interval.low).toBeGreaterThan(0);
  });
  test("where nothing changes, later signals are as hard as those of other sites, on average over made seasons", () => {
    let sum = 0;
    for (let seed = 1; seed <= 8; seed++) {
      const found = run(dated(0, "", seed));
      if ("absent" in found || !isPresent(found.aboveOtherSites)) throw new Error("absent");
      sum += found.aboveOtherSites.value / 8;
    }
    // One season's difference scatters by about 0.03; a mean of eight by 0.01. The early part knows the sites but holds a quarter less.
    expect(Math.abs(sum)).toBeLessThan(0.03);
  });
  test("days count for their month alone", () => {
    expect(run(dated(0, "-17"))).toEqual(run(dated(0)));
  });
  test("is absent without dates, in one month, or where a part holds too little", () => {
    const options = { seed: 1, engine, baseRates: baseRates() };
    const of = (change: (i: number) => string | null, season = dated(0)) =>
      throughTime(
        learningTables({
          ...season,
          signals: season.signals.map((each, i) => ({ ...each, date: change(i) })),
        })[0]!,
        options,
      );
    expect(of((i) => i === 5 ? null : "2025-03")).toMatchObject({ absent: "no dates" });
    expect(of(() => "2025-03")).toMatchObject({ absent: "one month" });
    expect(of((i) => i < 352 ? "2025-03" : "2025-04")).toMatchObject({ absent: "too few" });
    const twoSites = dated(0).signals.map((each, i) => ({
      ...each,
      site: i < 240 ? each.site : i % 2 ? "A" : "B",
    }));
    expect(of((i) => i < 240 ? "2025-03" : "2025-04", { ...dated(0), signals: twoSites })).toMatchObject({
      absent: "too few",
      reason: "The later signals must lie at 3 sites, got 2",
    });
    const few = madeSeason({ signals: 60, sites: 5 });
    expect(of((i) => i < 30 ? "2025-03" : "2025-04", few)).toMatchObject({ absent: "too few" });
    expect(() => throughTime(learningTables(dated(0))[0]!, { ...options, learn: 1 })).toThrow(
      "Cannot run through time: learn must be above 0 and below 1, got 1",
    );
  });
});
