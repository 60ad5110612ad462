import { describe, expect, test } from "vitest";
import { isPresent } from "../../lib/numbers/mod.ts";
import { featureByOutcome } from "../../lib/model/feature_by_outcome.ts";
import { learningTables } from "../../lib/model/season_tables.ts";
import { predictionRows, studyConfusion, studyTable } from "../../lib/model/study_table.ts";
import { madeSeason } from "./_season.ts";

const bigTable = learningTables(madeSeason({ signals: 260, sites: 8 }))[0]!;

describe("studyTable()", () => {
  test("holds every engine against the same unseen sites and recommends one that learnt something", async () => {
    const study = await studyTable(bigTable, { seed: 1, askSecondOpinion: false });
    expect(study.allowance.classes).toBe("three");
    expect(study.groups).toBe("sites");
    expect(study.scores.map((score) => score.name)).toEqual([
      "base rates",
      "own call",
      "tone rule",
      "step rule",
      "logistic",
      "logistic and own call",
      "single tree",
      "forest",
    ]);
    expect(study.outOfFold.every((each) => each.kind === "predicted")).toBe(true);
    expect(["logistic", "logistic and own call", "single tree", "forest"]).toContain(
      study.recommendation!.best,
    );
    const loss = (name: string) => {
      const found = study.scores.find((score) => score.name === name)!.logLoss;
      return isPresent(found) ? found.value : NaN;
    };
    expect(loss("logistic")).toBeLessThan(loss("base rates") - 0.1);
    const rows = predictionRows([study]);
    expect(rows).toHaveLength(8 * bigTable.x.n);
    for (const row of rows) expect(row.ferrous + row.nonFerrous + row.maskedGood).toBeCloseTo(1, 9);
    expect(studyConfusion(study, "forest").counts.flat().reduce((a, b) => a + b, 0)).toBe(bigTable.x.n);
    expect(() => studyConfusion(study, "oracle")).toThrow('the engine must have a score, got "oracle"');
  });
  test("takes the goods together where masked goods are a dozen, and claims no more", async () => {
    const table = learningTables(madeSeason({ signals: 200, sites: 8, shares: [0.6, 0.34, 0.06] }))[0]!;
    const study = await studyTable(table, { seed: 1, askSecondOpinion: false });
    expect(study.allowance.classes).toBe("two");
    const { outcomes, counts } = studyConfusion(study, "logistic");
    expect(outcomes).toEqual(["ferrous", "worth a hole"]);
    expect(counts.flat().reduce((a, b) => a + b, 0)).toBe(table.x.n);
  });
  test("offers the simple rules to few signals, and no score to one site", async () => {
    const few = learningTables(madeSeason({ signals: 40, sites: 5 }))[0]!;
    const study = await studyTable(few, { seed: 1 });
    expect(study.allowance.classes).toBe("rules");
    expect(study.scores.map((score) => score.name)).toEqual(["base rates", "own call", "tone rule"]);
    const one = learningTables({ ...madeSeason({ signals: 40, sites: 1 }) })[0]!;
    const alone = { ...one, x: { ...one.x, groups: { ...one.x.groups, outing: one.x.groups.site } } };
    expect(await studyTable(alone, { seed: 1 })).toMatchObject({
      folds: { kind: "refused" },
      scores: [],
      recommendation: null,
    });
  });
  test("asks ml-random-forest as a second opinion and never recommends it", async () => {
    const study = await studyTable(bigTable, { seed: 1, mostFolds: 3 });
    expect(study.scores.at(-1)!.name).toBe("ml-random-forest");
    expect(study.recommendation!.differences.map((each) => each.name)).not.toContain("ml-random-forest");
  });
});

describe("featureByOutcome()", () => {
  test("tells what was built in: masked goods lean, ferrous reads low", () => {
    const asymmetry = featureByOutcome(bigTable, "asymmetry", { seed: 1, replicates: 100 });
    if (!isPresent(asymmetry.maskedAbovePlain)) throw new Error("absent");
    expect(asymmetry.maskedAbovePlain.interval.low).toBeGreaterThan(0.5);
    const centre = featureByOutcome(bigTable, "centre", { seed: 1, replicates: 100 });
    if (!isPresent(centre.goodAboveFerrous)) throw new Error("absent");
    expect(centre.goodAboveFerrous.interval.low).toBeGreaterThan(0.7);
    const counts = centre.outcomes.map(({ values, missing }) =>
      values.length + missing.silent + missing.tooFewPasses + missing.notLogged
    );
    expect(counts.reduce((a, b) => a + b, 0)).toBe(bigTable.x.n);
  });
  test("a feature nobody logged is absent with its reason", () => {
    const says = featureByOutcome(bigTable, "indicatedDepthStep", { seed: 1, replicates: 100 });
    expect(says.goodAboveFerrous).toMatchObject({ absent: "no cases" });
    expect(says.outcomes[0]!.median).toMatchObject({ absent: "no cases" });
    expect(() => featureByOutcome(bigTable, "depth", { seed: 1 })).toThrow(
      /^Cannot tell by outcome: feature must be one of/,
    );
  });
});
