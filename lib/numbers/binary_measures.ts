import { checkCount } from "./_check_values.ts";
import { confusionFromCounts } from "./confusion_matrix.ts";
import { kappaParts } from "./cohen_kappa.ts";
import { absent } from "./estimate.ts";
import { matthewsCorrelation } from "./matthews_correlation.ts";
import { type Measure, measured } from "./measure.ts";

/** The four cells of a test with a yes and a no: what it called rightly and wrongly. */
export interface BinaryCounts {
  readonly truePositives: number;
  readonly falseNegatives: number;
  readonly falsePositives: number;
  readonly trueNegatives: number;
}

/** Names of the measures of a two-by-two table. */
export type BinaryMeasureName =
  | "sensitivity"
  | "specificity"
  | "positivePredictiveValue"
  | "negativePredictiveValue"
  | "accuracy"
  | "balancedAccuracy"
  | "youdenIndex"
  | "matthewsCorrelation"
  | "fScore"
  | "kappa"
  | "positiveLikelihoodRatio"
  | "negativeLikelihoodRatio"
  | "diagnosticOddsRatio"
  | "prevalence"
  | "geometricMean"
  | "markedness"
  | "fowlkesMallows"
  | "threatScore";

/**
 * Gives the usual measures of a yes-or-no call, all of them as plain numbers.
 *
 * @param counts Whole numbers of 0 or above.
 * @returns One measure a name; a ratio with nothing below the line is absent, never 0. Shares lie in 0 to 1, `youdenIndex`,
 * `matthewsCorrelation`, `kappa` and `markedness` in -1 to 1, ratios at 0 or above. For intervals use `recall`, `precision` and
 * `shareEstimate`.
 *
 * Sources: Youden (1950), Matthews (1975), Cohen (1960), Fowlkes and Mallows (1983), JASA 78:553-569; likelihood ratios and odds ratio
 * by Glas et al. (2003), Journal of Clinical Epidemiology 56:1129-1135; threat score = TP / (TP + FP + FN).
 *
 * Throws RangeError for a count that is not such a number.
 *
 * @example
 * ```ts
 * import { binaryMeasures, isMeasured } from "overiron";
 * const measures = binaryMeasures({ truePositives: 20, falseNegatives: 10, falsePositives: 180, trueNegatives: 1820 });
 * if (!isMeasured(measures.specificity) || measures.specificity.value !== 0.91) throw new Error("wrong");
 * ```
 */
export function binaryMeasures(counts: BinaryCounts): Record<BinaryMeasureName, Measure> {
  for (const [name, count] of Object.entries(counts)) checkCount("measure a yes-or-no call", name, count);
  const { truePositives: tp, falseNegatives: fn, falsePositives: fp, trueNegatives: tn } = counts;
  const all = tp + fn + fp + tn;
  const n = { cases: all };
  const over = (top: number, below: number, lacking: string): Measure =>
    below > 0 ? measured(top / below, n) : absent("undefined", `There is ${lacking}`, n);
  const combine = (parts: readonly Measure[], rule: (...values: number[]) => number): Measure => {
    const values: number[] = [];
    for (const part of parts) {
      if (!("value" in part)) return part;
      values.push(part.value);
    }
    const value = rule(...values);
    return Number.isFinite(value) ? measured(value, n) : absent("undefined", "The ratio divides by 0", n);
  };
  const sensitivity = over(tp, tp + fn, "no case that is a yes");
  const specificity = over(tn, tn + fp, "no case that is a no");
  const positivePredictiveValue = over(tp, tp + fp, "no case called yes");
  const negativePredictiveValue = over(tn, tn + fn, "no case called no");
  const matrix = confusionFromCounts([[tp, fn], [fp, tn]]);
  const kappa = kappaParts(matrix, "none");
  return {
    sensitivity,
    specificity,
    positivePredictiveValue,
    negativePredictiveValue,
    accuracy: over(tp + tn, all, "no case"),
    balancedAccuracy: combine([sensitivity, specificity], (a, b) => (a + b) / 2),
    youdenIndex: combine([sensitivity, specificity], (a, b) => a + b - 1),
    matthewsCorrelation: matthewsCorrelation(matrix),
    fScore: over(2 * tp, 2 * tp + fp + fn, "no yes, true or called"),
    kappa: kappa === undefined
      ? absent("undefined", "All cases are of one class and were called so", n)
      : measured(kappa.kappa, n),
    positiveLikelihoodRatio: combine([sensitivity, specificity], () => tp * (fp + tn) / ((tp + fn) * fp)),
    negativeLikelihoodRatio: combine([sensitivity, specificity], () => fn * (fp + tn) / ((tp + fn) * tn)),
    diagnosticOddsRatio: over(tp * tn, fp * fn, "no false positive or no false negative"),
    prevalence: over(tp + fn, all, "no case"),
    geometricMean: combine([sensitivity, specificity], (a, b) => Math.sqrt(a * b)),
    markedness: combine([positivePredictiveValue, negativePredictiveValue], (a, b) => a + b - 1),
    fowlkesMallows: combine([sensitivity, positivePredictiveValue], (a, b) => Math.sqrt(a * b)),
    threatScore: over(tp, tp + fp + fn, "no yes, true or called"),
  };
}
