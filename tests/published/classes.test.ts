import { expect, test } from "vitest";
import {
  accuracy,
  balancedAccuracy,
  binaryMeasures,
  brierScore,
  cohenKappa,
  confusionFromCounts,
  confusionMatrix,
  fScore,
  isPresent,
  logLoss,
  matthewsCorrelation,
  meanFScore,
  murphyDecomposition,
  normalQuantile,
  precision,
  rankedProbabilityScore,
  recall,
  youdenIndex,
} from "../../lib/numbers/mod.ts";
import { kappaParts } from "../../lib/numbers/cohen_kappa.ts";
import confusion from "./data/confusion.json" with { type: "json" };
import scores from "./data/scores.json" with { type: "json" };
import { expectRelative, valueOf } from "./_close.ts";

// Ratios of whole numbers: only rounding separates two right answers.
const near = (got: number, expected: number) => expectRelative(got, expected, 1e-12);

test("measures of Cohen's table of two judges", () => {
  const { data, expected } = confusion.cohen;
  const matrix = confusionFromCounts(data.confusion);
  expect(matrix.n).toBe(expected.n);
  near(valueOf(accuracy(matrix)), expected.accuracy);
  near(valueOf(cohenKappa(matrix)), expected.kappa);
  near(valueOf(cohenKappa(matrix, { weights: "linear" })), expected.kappa_linear);
  near(valueOf(cohenKappa(matrix, { weights: "quadratic" })), expected.kappa_quadratic);
  near(kappaParts(matrix, "none")!.standardErrorCohen, expected.se_cohen1960);
  const kappa = cohenKappa(matrix);
  if (!isPresent(kappa)) expect.fail("no kappa");
  near((kappa.interval.high - kappa.value) / normalQuantile(0.975), expected.se_fleiss);
  near(valueOf(matthewsCorrelation(matrix)), expected.mcc_rk);
  near(valueOf(balancedAccuracy(matrix)), expected.balanced_accuracy);
  near(valueOf(meanFScore(matrix)), expected.macro_f1);
  near(valueOf(meanFScore(matrix, { average: "weighted" })), expected.weighted_f1);
  for (let i = 0; i < 3; i++) {
    near(valueOf(recall(matrix)[i]!), expected.recall[i]!);
    near(valueOf(precision(matrix)[i]!), expected.precision[i]!);
    near(valueOf(fScore(matrix)[i]!), expected.f1[i]!);
  }
});

for (const name of ["screening", "youden"] as const) {
  test(`measures of a two-by-two table, ${name}`, () => {
    const { data: { tp, fn, fp, tn }, expected } = confusion[name];
    const got = binaryMeasures({
      truePositives: tp,
      falseNegatives: fn,
      falsePositives: fp,
      trueNegatives: tn,
    });
    near(valueOf(got.sensitivity), expected.sensitivity);
    near(valueOf(got.specificity), expected.specificity);
    near(valueOf(got.positivePredictiveValue), expected.ppv);
    near(valueOf(got.negativePredictiveValue), expected.npv);
    near(valueOf(got.accuracy), expected.accuracy);
    near(valueOf(got.balancedAccuracy), expected.balanced_accuracy);
    near(valueOf(got.youdenIndex), expected.youden_J);
    near(valueOf(got.matthewsCorrelation), expected.mcc);
    near(valueOf(got.fScore), expected.f1);
    near(valueOf(got.kappa), expected.kappa);
    near(valueOf(got.positiveLikelihoodRatio), expected.lr_plus);
    near(valueOf(got.negativeLikelihoodRatio), expected.lr_minus);
    near(valueOf(got.diagnosticOddsRatio), expected.dor);
    near(valueOf(got.prevalence), expected.prevalence);
    near(valueOf(got.geometricMean), expected.gmean);
    near(valueOf(got.markedness), expected.markedness);
    near(valueOf(got.fowlkesMallows), expected.fowlkes_mallows);
    near(valueOf(got.threatScore), expected.threat_score);
    const matrix = confusionFromCounts([[tp, fn], [fp, tn]]);
    near(valueOf(youdenIndex(matrix)), expected.youden_J);
    near(valueOf(balancedAccuracy(matrix)), expected.balanced_accuracy);
    near(valueOf(matthewsCorrelation(matrix)), expected.mcc);
  });
}

test("Brier's ten forecasts of rain, in both forms", () => {
  const { data: { p_rain, rain }, expected } = scores.brier;
  const rows = p_rain.map((p) => [1 - p, p]);
  near(valueOf(brierScore(rows, rain)), expected.brier_sum);
  near(valueOf(brierScore(rows, rain, { form: "half" })), expected.brier_half);
});

test("log loss of the documented example", () => {
  near(valueOf(logLoss(scores.logLoss.data.prob, scores.logLoss.data.y)), scores.logLoss.expected.logloss);
});

test("log loss, Brier and ranked probability score of three classes", () => {
  const { data: { prob, y }, expected } = scores.threeClasses;
  near(valueOf(logLoss(prob, y)), expected.logloss);
  near(valueOf(brierScore(prob, y)), expected.brier_sum);
  near(valueOf(rankedProbabilityScore(prob, y)), expected.rps);
  const called = prob.map((row) => String(row.indexOf(Math.max(...row))));
  near(valueOf(accuracy(confusionMatrix(y.map(String), called))), expected.accuracy);
  near(valueOf(logLoss(Float64Array.from(prob.flat()), y, { classes: 3 })), expected.logloss);
});

test("Murphy's parts of 12,402 rain forecasts", () => {
  const { data, expected } = scores.wilks;
  const parts = murphyDecomposition(
    data.y.map((forecast, i) => ({ forecast, frequency: data.obar[i]!, weight: data.weight[i]! })),
  );
  if (!("brier" in parts)) expect.fail("no parts");
  for (const key of ["reliability", "resolution", "uncertainty", "brier"] as const) {
    expectRelative(parts[key], expected[key], 1e-10);
  }
  expectRelative(parts.baseRate, expected.obar, 1e-10);
  expectRelative(parts.skill, expected.bss, 1e-10);
  expect(Math.abs(parts.brier - (parts.reliability - parts.resolution + parts.uncertainty))).toBeLessThan(
    1e-12,
  );
});
