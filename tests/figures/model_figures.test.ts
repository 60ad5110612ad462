import { describe, expect, test } from "vitest";
import { decideRuleTable } from "../../lib/figures/decide_rule_table.ts";
import { modelAnswer } from "../../lib/figures/model_answer.ts";
import { modelCalibration } from "../../lib/figures/model_calibration.ts";
import { modelCalibrationTable } from "../../lib/figures/model_calibration_table.ts";
import { modelDugTable } from "../../lib/figures/model_dug_table.ts";
import { modelMissTable } from "../../lib/figures/model_miss_table.ts";
import { modelCouldBe } from "../../lib/figures/model_could_be.ts";
import { modelCouldBeAnswer } from "../../lib/figures/model_could_be_answer.ts";
import { modelRecalibrationAnswer } from "../../lib/figures/model_recalibration_answer.ts";
import { modelCoefficients } from "../../lib/figures/model_coefficients.ts";
import { modelCoefficientTable } from "../../lib/figures/model_coefficient_table.ts";
import { modelConfusion } from "../../lib/figures/model_confusion.ts";
import { modelConfusionTable } from "../../lib/figures/model_confusion_table.ts";
import { modelCountsTable } from "../../lib/figures/model_counts_table.ts";
import { modelEngineTable } from "../../lib/figures/model_engine_table.ts";
import { modelFeatureAnswer } from "../../lib/figures/model_feature_answer.ts";
import { modelFeatureByOutcome } from "../../lib/figures/model_feature_by_outcome.ts";
import { inSightFirst } from "../../lib/figures/in_sight_first.ts";
import { modelFeatureChances } from "../../lib/figures/model_feature_chances.ts";
import { say } from "../../lib/figures/show.ts";
import { modelFeatureTable } from "../../lib/figures/model_feature_table.ts";
import { modelImportance } from "../../lib/figures/model_importance.ts";
import { modelImportanceTable } from "../../lib/figures/model_importance_table.ts";
import { modelLogLosses } from "../../lib/figures/model_log_losses.ts";
import { modelLossDifferences } from "../../lib/figures/model_loss_differences.ts";
import { resultIds } from "../../lib/figures/result_ids.ts";
import { ruleCosts } from "../../lib/decide/mod.ts";
import {
  brierParts,
  couldBeEither,
  dugAndPassed,
  featureByOutcome,
  FEATURES,
  learningTables,
  permutationImportance,
  recalibration,
  ridgeCoefficients,
  studyConfusion,
  studyTable,
  toneRule,
  worstMisses,
  worthCalibration,
} from "../../lib/model/mod.ts";
import { absent, present } from "../../lib/numbers/mod.ts";
import { madeSeason } from "../model/_season.ts";

const table = learningTables(madeSeason({ signals: 160, sites: 6 }))[0]!;
const study = await studyTable(table, { seed: 1, askSecondOpinion: false });
const options = { machine: "Machine A", recommended: study.recommendation!.recommended };
const asymmetry = featureByOutcome(table, "asymmetry", { seed: 1, replicates: 100 });
const coefficients = ridgeCoefficients(table.x, table.outcome);

const forest = study.outOfFold.find(({ name }) => name === "forest")!;
const calibration = forest.kind === "predicted"
  ? worthCalibration(forest.probabilities, table.outcome, { site: study.group })
  : [];

if (forest.kind !== "predicted" || study.folds.kind !== "folds") throw new Error("the forest has a score");
const { group } = study;
const either = couldBeEither(forest.probabilities, table.outcome, { group });
const corrected = recalibration(forest.probabilities, table.outcome, { fold: study.folds.of, group });
const parts = brierParts(forest.probabilities, table.outcome, { group });

const importances = study.folds.kind === "folds"
  ? permutationImportance(table.x, table.outcome, {
    seed: 1,
    folds: study.folds,
    engine: toneRule(210),
    repeats: 1,
  })
  : [];

const drawings: readonly [string, () => string][] = [
  ["modelImportance", () => modelImportance(importances, { machine: "Machine A", engine: "tone rule" })],
  ["modelCalibration", () => modelCalibration(calibration, { machine: "Machine A", engine: "forest" })],
  ["modelCouldBe", () => modelCouldBe(table, either)],
  ["modelLogLosses", () => modelLogLosses(study.scores, options)],
  ["modelLossDifferences", () => modelLossDifferences(study.recommendation!.differences, options)],
  [
    "modelConfusion",
    () => modelConfusion({ machine: "Machine A", engine: "forest", ...studyConfusion(study, "forest") }),
  ],
  ["modelFeatureChances", () => modelFeatureChances([asymmetry], { machine: "Machine A" })],
  ["modelFeatureByOutcome", () => modelFeatureByOutcome(asymmetry, { machine: "Machine A" })],
  [
    "modelCoefficients",
    () => modelCoefficients(coefficients, { machine: "Machine A", outcome: "masked-good" }),
  ],
];

describe("figures of the model", () => {
  for (const [name, draw] of drawings) {
    test(`${name}() draws the same bytes twice, with an alternative text and counts, and no colour but the page's`, () => {
      const svg = draw();
      expect(draw()).toBe(svg);
      expect(svg).toMatch(/^<svg [^>]*role="img" aria-label="[^"]*Machine A[^"]*"/);
      expect(/aria-label="([^"]*)"/.exec(svg)![1]).toMatch(/\d/);
      expect(svg).not.toMatch(/NaN|undefined|Infinity/);
      for (const [, color] of svg.matchAll(/(?:fill|stroke)="(#[0-9a-fA-F]+)"/g)) {
        throw new Error(`bare colour ${color}`);
      }
      expect(svg).not.toMatch(/\d\.\d{3,}/);
    });
  }
  test("modelLogLosses() writes an absent estimate as its word", () => {
    const interval = { low: 0.4, high: 0.6, level: 0.95, method: "by site" };
    const svg = modelLogLosses([
      { name: "forest", logLoss: present(0.5, interval, { signals: 9, sites: 3 }) },
      { name: "own call", logLoss: absent("one site", "All at one site", { signals: 9, sites: 1 }) },
    ], { machine: "Machine A" });
    expect(svg).toContain("one site");
    expect(() => modelLogLosses([], { machine: "Machine A" })).toThrow(/need at least one row, got 0/);
  });
  test("modelConfusion() shows counts and shares of the row; a row without a signal shows counts alone", () => {
    const svg = modelConfusion({
      machine: "Machine A",
      engine: "forest",
      outcomes: ["ferrous", "worth a hole"],
      counts: [[9, 1], [0, 0]],
    });
    expect(svg).toContain("90");
    expect(svg).toContain("worth a hole (0)");
    expect(() => modelConfusion({ machine: "A", engine: "e", outcomes: ["a"], counts: [[1, 2]] })).toThrow(
      /need 1 x 1 counts/,
    );
  });
  test("modelFeatureByOutcome() thins many signals and says so, and refuses to draw nothing", () => {
    const values = Float64Array.from({ length: 1000 }, (_, i) => i);
    const many = { ...asymmetry, outcomes: asymmetry.outcomes.map((each) => ({ ...each, values })) };
    const svg = modelFeatureByOutcome(many, { machine: "Machine A" });
    expect(svg.match(/<circle/g)!.length).toBeLessThan(620);
    expect(svg).toContain("evenly spaced values are drawn");
    const none = {
      ...asymmetry,
      outcomes: asymmetry.outcomes.map((each) => ({ ...each, values: new Float64Array(0) })),
    };
    expect(() => modelFeatureByOutcome(none, { machine: "Machine A" })).toThrow(
      "Cannot draw asymmetry: no signal has a value",
    );
  });
});

describe("words and tables of the model", () => {
  test("every number said or tabled is recorded under a listed id", () => {
    const says = FEATURES.map((feature) =>
      featureByOutcome(table, feature.name, { seed: 1, replicates: 100 })
    );
    const shown = [
      modelAnswer([study], { says: new Map([[study, says]]) }),
      modelCountsTable([study]),
      modelEngineTable(study),
      modelConfusionTable(study, "forest"),
      modelFeatureAnswer(table, says),
      modelFeatureTable(table, says),
      modelCoefficientTable(table, coefficients),
      decideRuleTable(table, ruleCosts(study)),
      modelCalibrationTable(table, calibration, { engine: "forest" }),
      modelCouldBeAnswer(table, either, { engine: "forest", groups: "sites" }),
      modelRecalibrationAnswer(table, corrected, { engine: "forest", parts }),
      modelMissTable(table, worstMisses(study, "tone rule"), { engine: "tone rule" }),
      modelImportanceTable(table, importances, { engine: "tone rule" }),
      modelDugTable(table, dugAndPassed(table, ["centre"])),
    ];
    for (const each of shown) {
      expect(each.recorded.results.length + each.recorded.tables.length).toBeGreaterThan(0);
      for (const { id } of [...each.recorded.results, ...each.recorded.tables]) {
        expect(resultIds[id]).toBeDefined();
      }
      expect(each.text).not.toMatch(/NaN|undefined|null/);
    }
  });
  test("features are called by plain words: they once stood as indicatedDepthStep", () => {
    const says = ["turnChange", "indicatedDepthStep"].map((feature) =>
      featureByOutcome(table, feature, { seed: 1, replicates: 100 })
    );
    const drawn = modelFeatureChances(says, { machine: "Machine A" }) +
      modelCoefficients(coefficients, { machine: "Machine A", outcome: "masked-good" });
    const read = drawn + modelFeatureTable(table, says).text + modelFeatureAnswer(table, says).text +
      modelCoefficientTable(table, coefficients).text;
    expect(read).not.toMatch(/turnChange|indicatedDepth|ironShare|bestRepeat/);
    expect(read).toContain("change after a quarter turn");
    expect(() => modelFeatureChances([], { machine: "Machine A" })).toThrow(
      /need at least one feature, got 0/,
    );
  });
  test("inSightFirst() folds all but the first", () => {
    const { html } = inSightFirst([{ label: "A", shown: say`One.` }, { label: "B", shown: say`Two.` }]);
    expect(html.indexOf("One.")).toBeLessThan(html.indexOf("<details"));
    expect(html).toContain("<summary>B</summary>");
    expect(inSightFirst([]).html).toBe("");
  });
  test("modelMissTable() says so where nothing was missed", () => {
    expect(modelMissTable(table, [], { engine: "forest" }).text).toBe(
      "The forest missed none of these signals on Machine A.",
    );
  });
  test("modelAnswer() begins with the answer, in bold, and names the own call beside it", () => {
    const { text } = modelAnswer([study]);
    expect(text).toMatch(/^\*\*On Machine A (the readings tell|nothing beats)/);
    expect(text).toContain("own call");
  });
  test("modelAnswer() takes two paragraphs a machine, and loses no number by it", () => {
    const shown = modelAnswer([study], { says: new Map([[study, [asymmetry]]]) });
    expect(shown.html.match(/<p class="said">/g)).toHaveLength(2);
    expect(shown.html).not.toContain("</p> ");
    expect(shown.recorded.results).toHaveLength(shown.html.match(/<data class="stated"/g)!.length);
  });
  test("an absent number is one word in a table, and its reason stands once in the caption", () => {
    const lone = absent("one site", "All cases lie within one of the sites", { signals: 9, sites: 1 });
    const shown = modelDugTable(table, [{ feature: "centre", dugHigher: lone }, {
      feature: "spread",
      dugHigher: lone,
    }]);
    expect(shown.text).toContain("spread | one site");
    expect(shown.text.match(/All cases lie|all cases lie/g)).toHaveLength(1);
    expect(shown.recorded.results[0]).toMatchObject({ reason: "All cases lie within one of the sites" });
  });
  test("modelAnswer() says why there is no model, with the counts, and the next step for an empty log", async () => {
    const few = learningTables(madeSeason({ signals: 12, sites: 1 }))[0]!;
    const alone = { ...few, x: { ...few.x, groups: { ...few.x.groups, outing: few.x.groups.site } } };
    expect(modelAnswer([await studyTable(alone, { seed: 1 })]).text).toMatch(
      /no model can be recommended yet.*no split by site or by outing/,
    );
    expect(modelAnswer([]).text).toMatch(/no dug signal of known outcome/);
  });
});
