// What a log may lack or hold wrongly: what can be said is said, the rest refused with what is needed.
import { describe, expect, test } from "vitest";
import type { OutcomeClass, Season, Signal } from "../../lib/log/mod.ts";
import { isPresent } from "../../lib/numbers/mod.ts";
import {
  type FeatureTable,
  groupFolds,
  growForest,
  learningTables,
  outcomeForest,
  outcomeTree,
  ridgeLogistic,
  studyTable,
  type TableStudy,
} from "../../lib/model/mod.ts";
import { madeSeason } from "./_season.ts";

const season = madeSeason({ signals: 200 });

async function study(of: Season): Promise<TableStudy> {
  return await studyTable(learningTables(of)[0]!, { seed: 1, askSecondOpinion: false });
}

/** The season with the outcome of every dug signal given anew; null makes it unknown. */
function withOutcomes(give: (at: number) => OutcomeClass | null): Season {
  let at = 0;
  return {
    ...season,
    signals: season.signals.map((signal): Signal => {
      if (signal.dug !== "yes") return signal;
      const class_ = give(at++);
      const outcome = class_ === null
        ? { status: "unknown", class: null, grade: null } as const
        : { status: "known", class: class_, grade: "measured" } as const;
      return { ...signal, outcome };
    }),
  };
}

/** Every log loss that is given must be a number with its interval and counts. */
function expectWholeScores({ scores }: TableStudy): void {
  expect(scores.length).toBeGreaterThan(0);
  for (const { logLoss } of scores) {
    if (!isPresent(logLoss)) expect(logLoss.reason).not.toBe("");
    else {expect([logLoss.value, logLoss.interval.low, logLoss.interval.high].every(Number.isFinite)).toBe(
        true,
      );}
  }
}

describe("what a log may lack", () => {
  test("one outcome only: nothing is scored, and both say why", async () => {
    const { allowance, folds, scores, recommendation } = await study(withOutcomes(() => "ferrous"));
    expect(allowance).toMatchObject({ classes: "none" });
    expect(allowance.reason).toMatch(
      /^Two outcomes are needed to learn anything; the log holds \d+ ferrous, 0 /,
    );
    expect(folds).toMatchObject({ kind: "refused", refused: "one outcome" });
    expect([scores.length, recommendation]).toEqual([0, null]);
  });
  test("a class with two cases: two outcomes are told apart, and its recall is not made up", async () => {
    const found = await study(
      withOutcomes((at) => at === 3 || at === 90 ? "masked-good" : at % 2 ? "ferrous" : "non-ferrous"),
    );
    expect(found.allowance.classes).toBe("two");
    expect(found.allowance.reason).toContain(
      "and 2 masked good: under 20 of an outcome cannot carry a class",
    );
    expectWholeScores(found);
    expect(found.scores.every(({ classes }) => classes.length === 2)).toBe(true);
    // A forest asked for three outcomes all the same still gives whole probabilities.
    const { x, outcome } = found.table;
    const p = outcomeForest({ trees: 10 }).fit(x, outcome, { seed: 1 }).probabilities(x);
    for (let i = 0; i < x.n; i++) {
      expect(p[3 * i]! + p[3 * i + 1]! + p[3 * i + 2]!).toBeCloseTo(1, 12);
      expect(p[3 * i + 2]).toBeGreaterThan(0);
    }
  });
  test("one site: outings stand in for it, and are named", async () => {
    const found = await study({
      ...season,
      signals: season.signals.map((signal) => ({ ...signal, site: "A" })),
    });
    expect(found.folds).toMatchObject({ kind: "folds", unit: "outing" });
    expect(found.folds.reason).toContain("scores may flatter");
    expect(found.groups).toBe("outings");
    expectWholeScores(found);
  });
  test("one site and one outing: no fair split, with what is needed", () => {
    const { x, outcome } = learningTables({
      ...season,
      signals: season.signals.map((signal) => ({ ...signal, site: "A", outing_id: "o1" })),
    })[0]!;
    const folds = groupFolds(x, outcome);
    expect(folds).toMatchObject({ kind: "refused", refused: "no fair split" });
    expect(folds.reason).toMatch(/log dug signals of every outcome at two sites or more$/);
  });
  test("all features missing: rules of shares alone are scored, trees refuse", async () => {
    const bare = season.signals.map((signal): Signal => ({
      ...signal,
      right: null,
      left: null,
      cross: null,
      both_ways: null,
      after_turn: null,
      iron_near: null,
      depth_indicated: null,
      my_call: null,
    }));
    const found = await study({ ...season, signals: bare });
    const refused = found.outOfFold.filter(({ kind }) => kind === "refused").map(({ name }) => name);
    expect(refused).toEqual(["single tree", "forest"]);
    // What is left knows shares alone: it says the same of every signal of a fold.
    expect(found.scores.map(({ name }) => name)).toEqual(["base rates", "logistic"]);
    for (const each of found.outOfFold) {
      if (each.kind !== "predicted" || found.folds.kind !== "folds") continue;
      const said = found.folds.of.reduce(
        (all, fold, i) => all.add(`${fold} ${each.probabilities[3 * i]!.toFixed(9)}`),
        new Set<string>(),
      );
      expect(said.size).toBe(found.folds.count);
    }
    expectWholeScores(found);
    const { x, outcome } = found.table;
    expect(() => outcomeForest().fit(x, outcome, { seed: 1 })).toThrow(
      new RangeError("Cannot fit forest: need a feature that varies, got none"),
    );
  });
  test("constant features: refused where none varies, left out where one does", () => {
    const { x, outcome } = learningTables(season)[0]!;
    const flat: FeatureTable = {
      ...x,
      columns: x.columns.map((column) => new Float64Array(column.length).fill(7)),
      whyMissing: x.whyMissing.map((why) => new Uint8Array(why.length)),
    };
    for (const engine of [outcomeForest(), outcomeTree()]) {
      expect(() => engine.fit(flat, outcome, { seed: 1 })).toThrow(/need a feature that varies, got none$/);
    }
    const one: FeatureTable = {
      ...flat,
      columns: flat.columns.map((column, j) => j === 0 ? x.columns[0]! : column),
      whyMissing: flat.whyMissing.map((why, j) => j === 0 ? x.whyMissing[0]! : why),
    };
    const model = outcomeForest({ trees: 5 }).fit(one, outcome, { seed: 1 });
    expect(model.toJSON().features).toEqual([x.names[0]]);
    expect(ridgeLogistic().fit(one, outcome, { seed: 1 }).probabilities(one).every(Number.isFinite)).toBe(
      true,
    );
  });
  test("outcomes unknown: they are counted and teach nothing", async () => {
    const half = learningTables(withOutcomes((at) => at % 2 ? null : at % 4 ? "ferrous" : "non-ferrous"))[0]!;
    const all = learningTables(season)[0]!;
    expect(half.x.n + half.leftOut.unknown).toBe(all.x.n);
    expect(half.leftOut.unknown).toBe(Math.floor(all.x.n / 2));
    const none = await study(withOutcomes(() => null));
    expect(none.table.x.n).toBe(0);
    expect(none.allowance.reason).toContain("the log holds 0 ferrous, 0 non-ferrous and 0 masked good");
    expect(none.folds).toMatchObject({ kind: "refused", refused: "one outcome" });
  });
  test("10 signals in all: simple rules at the most, and the reason names what models need", async () => {
    const few = madeSeason({ signals: 10, sites: 2, seed: 3 });
    const found = await study(few);
    expect(["rules", "none"]).toContain(found.allowance.classes);
    expect(found.allowance.reason).toMatch(/models need 20 ferrous and 20 others|Two outcomes are needed/);
    const models = ["logistic", "single tree", "forest"];
    expect(found.scores.filter(({ name }) => models.includes(name))).toEqual([]);
    for (const { logLoss } of found.scores) {
      expect(isPresent(logLoss) ? Number.isFinite(logLoss.value) : logLoss.reason.length > 0).toBe(true);
    }
  });
});

describe("what a log may hold wrongly", () => {
  test.each(["after_dig", "iron_evidence", "result", "outcome_stated", "metal"])(
    "%s is known only after the dig: refused by name",
    (name) => {
      expect(() => learningTables(season, { features: ["centre", name] })).toThrow(
        new RangeError(
          `Cannot use feature: a model may use only what is known before the dig, got "${name}", known after it`,
        ),
      );
    },
  );
  test("NaN or an infinity smuggled in is refused, in learning and in asking", () => {
    const { x, outcome } = learningTables(season)[0]!;
    const place = x.names.indexOf("centre");
    const row = x.whyMissing[place]!.indexOf(0);
    const spoilt = (value: number): FeatureTable => ({
      ...x,
      columns: x.columns.map((column, j) =>
        j === place ? column.map((held, i) => i === row ? value : held) : column
      ),
    });
    const model = outcomeForest({ trees: 3 }).fit(x, outcome, { seed: 1 });
    for (const bad of [NaN, Infinity, -Infinity]) {
      const why =
        `Cannot use feature table: centre, row ${row} must be a finite number or missing with a reason`;
      for (const engine of [outcomeForest(), outcomeTree(), ridgeLogistic()]) {
        expect(() => engine.fit(spoilt(bad), outcome, { seed: 1 })).toThrow(TypeError);
        expect(() => engine.fit(spoilt(bad), outcome, { seed: 1 })).toThrow(why);
      }
      expect(() => model.probabilities(spoilt(bad))).toThrow(why);
    }
    expect(() => outcomeForest().fit(x, outcome, { seed: 1, weights: new Float64Array(x.n).fill(NaN) }))
      .toThrow(
        "Cannot fit: weights are finite and 0 or above, got NaN",
      );
    expect(() => growForest([Float64Array.of(1, -Infinity)], Uint8Array.of(0, 1), { seed: 1 })).toThrow(
      TypeError,
    );
  });
});
