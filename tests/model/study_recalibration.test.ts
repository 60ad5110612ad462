import { describe, expect, test } from "vitest";
import { recalibration } from "../../lib/model/recalibration.ts";
import { learningTables } from "../../lib/model/season_tables.ts";
import { chancesToUse, studyRecalibration } from "../../lib/model/study_recalibration.ts";
import { predictionRows, studyTable } from "../../lib/model/study_table.ts";
import { madeSeason } from "./_season.ts";

describe("studyRecalibration()", () => {
  test("is recalibration() on the study's own folds and groups, worked out once", async () => {
    const study = await studyTable(learningTables(madeSeason({ signals: 160, sites: 6 }))[0]!, {
      seed: 1,
      askSecondOpinion: false,
    });
    const found = study.outOfFold.find(({ name }) => name === "logistic")!;
    if (found.kind !== "predicted" || study.folds.kind !== "folds") throw new Error("no chances");
    const own = recalibration(found.probabilities, study.table.outcome, {
      fold: study.folds.of,
      group: study.group,
    });
    expect(studyRecalibration(study, "logistic")).toEqual(own);
    expect(studyRecalibration(study, "logistic")).toBe(studyRecalibration(study, "logistic"));
    expect(chancesToUse(study, "logistic")).toEqual(own.helps ? own.used : found.probabilities);
    expect(studyRecalibration(study, "oracle")).toBeNull();
    expect(chancesToUse(study, "oracle")).toBeNull();
    // Lines of corrected chances are there where, and only where, they are not the engine's own.
    const named = { ...study, recommendation: { ...study.recommendation!, recommended: "logistic" } };
    const lines = predictionRows([named]).filter(({ model }) => model === "logistic, corrected");
    expect(lines.length > 0).toBe(own.helps && own.foldsCorrected > 0);
  });
  test("corrects ferrous against goods where the counts carry no more, and leaves the share of masked goods", async () => {
    const table = learningTables(madeSeason({ signals: 200, sites: 8, shares: [0.6, 0.34, 0.06] }))[0]!;
    const study = await studyTable(table, { seed: 1, askSecondOpinion: false });
    expect(study.allowance.classes).toBe("two");
    const found = study.outOfFold.find(({ name }) => name === "forest")!;
    if (found.kind !== "predicted") throw new Error("no chances");
    const { probabilities } = studyRecalibration(study, "forest")!;
    expect(probabilities).not.toEqual(found.probabilities);
    const share = (p: Float64Array, i: number) => p[3 * i + 2]! / (p[3 * i + 1]! + p[3 * i + 2]!);
    for (let i = 0; i < table.x.n; i++) {
      expect(share(probabilities, i)).toBeCloseTo(share(found.probabilities, i), 10);
    }
  });
});
