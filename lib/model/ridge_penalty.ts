import { checkFit, floorProbabilities } from "./classifier.ts";
import { fillDesign, learnDesign } from "./_design.ts";
import { type FeatureTable, takeRows } from "./feature_table.ts";
import { groupFolds } from "./folds.ts";
import { fitSoftmaxRidge, softmaxRow } from "./_softmax_ridge.ts";

/** Strengths of the ridge that are tried, a factor of four apart; a coefficient of 1 on a standardised column costs up to half as many nats. */
export const RIDGE_PENALTIES: readonly number[] = [0.125, 0.5, 2, 8, 32];

/** The strength where none can be chosen. */
export const USUAL_PENALTY = 2;

/** With more signals than this, trying in every fold would hold a notebook up, for some thousandths of a nat. */
export const MOST_TO_TUNE = 800;

/** A strength of the ridge, and how it was come by. */
export interface RidgePenalty {
  readonly lambda: number;
  /** Log loss of each strength on inner folds, nats a signal; empty where nothing was tried. */
  readonly tried: readonly { readonly lambda: number; readonly logLoss: number }[];
  /** One plain sentence. */
  readonly reason: string;
}

/** Options of {@link ridgePenalty}. */
export interface RidgePenaltyOptions {
  /** A weight of 0 or above a row. Default: 1 each. */
  readonly weights?: Float64Array;
  /** Strengths to try, each above 0. Default 0.125, 0.5, 2, 8 and 32. */
  readonly penalties?: readonly number[];
}

/**
 * Chooses how strongly a ridge logistic model is held back: the strength of lowest log loss on inner folds of the signals given.
 *
 * Sites are dealt whole into five inner folds at most; columns are learnt anew in each training part, and each probability passes the floor
 * that the engine's does. Of strengths equally good the strongest is taken; one standard error is given to none, since a handful of folds
 * makes it so wide that the strongest would always win. No chance is involved. Where no fair inner split exists, or above 800 signals, it is 2.
 *
 * `x` holds the features to learn from and `outcome` 0, 1 or 2 a row. Source: nested choice on training parts alone, Varma and Simon (2006),
 * BMC Bioinformatics 7:91. Throws as a fit does, and RangeError for a strength that is not above 0 and finite.
 *
 * @example
 * ```ts
 * import { ridgePenalty } from "overiron";
 * const n = 60, group = Int32Array.from({ length: n }, (_, i) => i % 6), codes = Uint8Array.from({ length: n }, (_, i) => i % 2);
 * const x = { n, names: ["centre"], columns: [Float64Array.from(codes, (code, i) => 200 * code + i)],
 *   whyMissing: [new Uint8Array(n)], groups: { site: group, outing: group, observer: group } };
 * const { lambda, tried } = ridgePenalty(x, codes);
 * // Parted cleanly: the less it is held back, the better.
 * if (lambda !== 0.125 || tried.length !== 5) throw new Error(String(lambda));
 * ```
 */
export function ridgePenalty(
  x: FeatureTable,
  outcome: Uint8Array,
  options: RidgePenaltyOptions = {},
): RidgePenalty {
  const { penalties = RIDGE_PENALTIES } = options;
  const given = checkFit(x, outcome, { seed: 0, ...options.weights && { weights: options.weights } });
  const bad = penalties.find((lambda) => !(lambda > 0 && lambda < Infinity));
  if (bad !== undefined || penalties.length === 0) {
    throw new RangeError(
      `Cannot choose penalty: need one or more, each above 0 and finite, got ${bad ?? "none"}`,
    );
  }
  const usual = (reason: string): RidgePenalty => ({ lambda: USUAL_PENALTY, tried: [], reason });
  if (x.n > MOST_TO_TUNE) {
    return usual(
      `Above ${MOST_TO_TUNE} signals the penalty weighs little, and the usual one is taken`,
    );
  }
  // A row of weight 0 teaches nothing and judges nothing: folds are made without it.
  const kept = [...outcome.keys()].filter((row) => given[row]! > 0);
  const table = takeRows(x, kept), codes = Uint8Array.from(kept, (row) => outcome[row]!);
  const weights = Float64Array.from(kept, (row) => given[row]!);
  const folds = groupFolds(table, codes, { most: 5 });
  if (folds.kind === "refused") return usual("No fair inner split exists, and the usual penalty is taken");
  // From the strongest on: each fit begins where the one before ended.
  const strengths = [...new Set(penalties)].sort((a, b) => b - a);
  const losses = new Float64Array(strengths.length);
  for (let fold = 0; fold < folds.count; fold++) {
    const learn: number[] = [], judge: number[] = [];
    folds.of.forEach((of, row) => (of === fold ? judge : learn).push(row));
    const learnX = takeRows(table, learn), learnWeights = Float64Array.from(learn, (row) => weights[row]!);
    const design = learnDesign(learnX, learnWeights), p = design.length;
    const filled = fillDesign(design, learnX, "logistic");
    const asked = fillDesign(design, takeRows(table, judge), "logistic");
    const learnt = Uint8Array.from(learn, (row) => codes[row]!);
    let start: Float64Array | undefined;
    strengths.forEach((lambda, k) => {
      const quick = start === undefined ? {} : { start };
      const fit = fitSoftmaxRidge(filled, p, learnt, { weights: learnWeights, lambda, quick });
      start = fit.coefficients;
      const shares = new Float64Array(fit.classes.length), row = new Float64Array(3 * judge.length);
      judge.forEach((_, i) => {
        softmaxRow(fit.coefficients, asked, i, p, shares);
        fit.classes.forEach((code, at) => row[3 * i + code] = shares[at]!);
      });
      const floored = floorProbabilities(row, learn.length);
      judge.forEach((at, i) => losses[k]! -= weights[at]! * Math.log(floored[3 * i + codes[at]!]!));
    });
  }
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const tried = strengths.map((lambda, k) => ({ lambda, logLoss: losses[k]! / total }));
  let best = tried[0]!;
  for (const each of tried) if (each.logLoss < best.logLoss - 1e-12) best = each;
  return {
    lambda: best.lambda,
    tried: tried.reverse(),
    reason:
      `Of ${tried.length} penalties ${best.lambda} has the lowest log loss on ${folds.count} inner folds of whole ${folds.unit}s`,
  };
}
