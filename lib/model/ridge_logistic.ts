import { z } from "zod";
import { absent, type Estimate, present, studentQuantile } from "../numbers/mod.ts";
import {
  checkFit,
  type Classifier,
  type FitOptions,
  floorProbabilities,
  type Model,
  modelFile,
  OUTCOMES,
} from "./classifier.ts";
import { type DesignColumn, designColumnSchema, fillDesign, learnDesign, nameOfColumn } from "./_design.ts";
import { checkFeatureTable, type FeatureTable, takeFeatures } from "./feature_table.ts";
import { READING_FEATURES } from "./features.ts";
import { ridgePenalty } from "./ridge_penalty.ts";
import { fitSoftmaxRidge, type SoftmaxFit, softmaxRow } from "./_softmax_ridge.ts";

const engine = "ridge-logistic";

export const ridgeParametersSchema = z.strictObject({
  design: z.array(designColumnSchema),
  classes: z.array(z.number().int().min(0).max(2)).min(1),
  coefficients: z.array(z.number()),
  lambda: z.number().positive(),
  /** What the penalty was chosen among; not there where it was fixed. */
  tried: z.array(z.strictObject({ lambda: z.number().positive(), logLoss: z.number() })).optional(),
}).refine(
  ({ design, classes, coefficients }) => coefficients.length === (classes.length - 1) * (design.length + 1),
  {
    message: "A logistic model needs one coefficient a column and an intercept, for each class but the first",
  },
);
export type RidgeParameters = z.infer<typeof ridgeParametersSchema>;

/** Options of {@link ridgeLogistic} and {@link ridgeCoefficients}. */
export interface RidgeLogisticOptions {
  /** Name of the engine. Default "logistic". */
  readonly name?: string;
  /** Feature names. Default: those of `READING_FEATURES` that the table has. */
  readonly features?: readonly string[];
  /** Strength of the ridge on standardised columns, where it is to be fixed: at 2 a coefficient of 1 costs up to one nat. Default: see `ridgePenalty`. */
  readonly lambda?: number;
}

function fitRidge(x: FeatureTable, outcome: Uint8Array, fitting: FitOptions, options: RidgeLogisticOptions) {
  const { features, lambda: fixed, name = "logistic" } = options;
  const weights = checkFit(x, outcome, fitting);
  if (fixed !== undefined && !(fixed > 0 && fixed < Infinity)) {
    throw new RangeError(`Cannot fit logistic: lambda must be above 0 and finite, got ${fixed}`);
  }
  const table = takeFeatures(x, features ?? READING_FEATURES.filter((feature) => x.names.includes(feature)));
  const { lambda, tried } = fixed === undefined
    ? ridgePenalty(table, outcome, { weights })
    : { lambda: fixed, tried: [] };
  const design = learnDesign(table, weights);
  const filled = fillDesign(design, table, name);
  const fit = fitSoftmaxRidge(filled, design.length, outcome, { weights, lambda });
  return { design, filled, fit, weights, lambda, tried };
}

/**
 * Gives ridge multinomial logistic regression as an engine.
 *
 * Columns are drawn in to the inner nine tenths, standardised, and missing cells filled, by what the signals learnt from show
 * and no others: a missing number becomes the mean, and silence or too few passes get a switch (what nobody logged is left out). The penalty is lambda / 2
 * times the squared coefficients, one vector an outcome, intercepts free (le Cessie and van Houwelingen 1992, Applied
 * Statistics 41:191); lambda is chosen on inner folds of the very signals learnt from (see {@link ridgePenalty}) unless it is fixed, and the
 * saved model states it with what it was chosen among. Fitted by Newton's method to the maximum.
 *
 * @example
 * ```ts
 * import { ridgeLogistic } from "overiron";
 * const n = 40, group = new Int32Array(n), codes = Uint8Array.from({ length: n }, (_, i) => i % 2);
 * const x = { n, names: ["centre"], columns: [Float64Array.from(codes, (code, i) => 100 + 200 * code + i)],
 *   whyMissing: [new Uint8Array(n)], groups: { site: group, outing: group, observer: group } };
 * const p = ridgeLogistic().fit(x, codes, { seed: 1 }).probabilities(x);
 * if (!(p[0]! > 0.8 && p[4]! > 0.8)) throw new Error(String(p.slice(0, 6)));
 * ```
 */
export function ridgeLogistic(options: RidgeLogisticOptions = {}): Classifier {
  const { name = "logistic" } = options;
  return {
    name,
    fit(x, outcome, fitting) {
      const { design, fit, lambda, tried } = fitRidge(x, outcome, fitting, options);
      const parameters = {
        design,
        classes: [...fit.classes],
        coefficients: [...fit.coefficients],
        lambda,
        ...(tried.length > 0 ? { tried: [...tried] } : {}),
      };
      return ridgeModel(parameters, name, x.n);
    },
  };
}

export function ridgeModel(parameters: RidgeParameters, name: string, learntFrom: number): Model {
  const { design, classes } = parameters;
  const coefficients = Float64Array.from(parameters.coefficients);
  return {
    probabilities(x) {
      checkFeatureTable(x);
      const filled = fillDesign(design, x, name);
      const shares = new Float64Array(classes.length), out = new Float64Array(3 * x.n);
      for (let i = 0; i < x.n; i++) {
        softmaxRow(coefficients, filled, i, design.length, shares);
        classes.forEach((code, k) => out[3 * i + code] = shares[k]!);
      }
      return floorProbabilities(out, learntFrom);
    },
    toJSON: () =>
      modelFile({
        engine,
        name,
        learntFrom,
        features: [...new Set(design.map((column) => column.feature))],
        parameters,
      }),
  };
}

/** One line of a logistic model: a column, the two outcomes it tells apart, and by how much. */
export interface RidgeCoefficient {
  /** The feature, or the feature and why it is missing. */
  readonly column: string;
  readonly outcome: string;
  readonly against: string;
  /** Log odds a standard deviation of the column (a switch: from off to on), everything else equal; drawn towards 0 by the ridge. */
  readonly logOdds: Estimate;
  readonly standardError: number;
  /** What one standard deviation is, in the feature's unit; 1 for a switch. */
  readonly perUnits: number;
}

/** Sandwich of the inverse information around the scores summed by site. */
function bySite(
  fit: SoftmaxFit,
  filled: Float64Array,
  p: number,
  outcome: Uint8Array,
  weights: Float64Array,
  site: Int32Array,
): { variances: Float64Array; sites: number } {
  const q = p + 1, K = fit.classes.length, m = (K - 1) * q;
  const scores = new Map<number, Float64Array>(), shares = new Float64Array(K);
  for (let i = 0; i < outcome.length; i++) {
    softmaxRow(fit.coefficients, filled, i, p, shares);
    let sum = scores.get(site[i]!);
    if (!sum) scores.set(site[i]!, sum = new Float64Array(m));
    for (let k = 1; k < K; k++) {
      const gap = weights[i]! * ((outcome[i] === fit.classes[k] ? 1 : 0) - shares[k]!);
      sum[(k - 1) * q]! += gap;
      for (let j = 0; j < p; j++) sum[(k - 1) * q + 1 + j]! += gap * filled[i * p + j]!;
    }
  }
  const variances = new Float64Array(m), sites = scores.size;
  for (const score of scores.values()) {
    for (let a = 0; a < m; a++) {
      let sum = 0;
      for (let b = 0; b < m; b++) sum += fit.inverse[a * m + b]! * score[b]!;
      variances[a]! += sum * sum * sites / Math.max(1, sites - 1);
    }
  }
  return { variances, sites };
}

/**
 * Gives the coefficients of the ridge logistic model on all signals, with standard errors and intervals.
 *
 * Each line is the change in log odds of an outcome against the first outcome met (ferrous, where there is any) for one
 * standard deviation of the column. The standard error is the larger of two: from the penalised information, and the sandwich
 * over sites (Liang and Zeger 1986, Biometrika 73:13, times G / (G - 1)), which few sites can make too small. The interval is
 * Student's t with sites - 1 degrees of freedom. The ridge draws every line towards 0, so lines are cautious, not unbiased; where its
 * strength was chosen (no `lambda`), intervals take it as given.
 * With one site the log odds are absent. Throws RangeError as the fit does.
 *
 * @example
 * ```ts
 * import { ridgeCoefficients } from "overiron";
 * const group = Int32Array.of(0, 0, 1, 1, 2, 2);
 * const x = { n: 6, names: ["centre"], columns: [Float64Array.of(10, 90, 12, 88, 11, 91)], whyMissing: [new Uint8Array(6)],
 *   groups: { site: group, outing: group, observer: group } };
 * const outcome = Uint8Array.of(0, 1, 0, 1, 0, 1);
 * const [centre] = ridgeCoefficients(x, outcome);
 * if (!centre || !("value" in centre.logOdds) || !(centre.logOdds.value > 0)) throw new Error("higher is better here");
 * ```
 */
export function ridgeCoefficients(
  x: FeatureTable,
  outcome: Uint8Array,
  options: RidgeLogisticOptions & { readonly level?: number } = {},
): RidgeCoefficient[] {
  const { level = 0.95 } = options;
  const { design, filled, fit, weights } = fitRidge(x, outcome, { seed: 0 }, options);
  const p = design.length, q = p + 1, m = (fit.classes.length - 1) * q;
  const { variances, sites } = bySite(fit, filled, p, outcome, weights, x.groups.site);
  const n = { signals: x.n, sites };
  return fit.classes.slice(1).flatMap((code, k) =>
    design.map((column: DesignColumn, j): RidgeCoefficient => {
      const at = k * q + 1 + j;
      const standardError = Math.sqrt(Math.max(variances[at]!, fit.inverse[at * m + at]!));
      const value = fit.coefficients[at]!;
      const half = sites < 2 ? 0 : studentQuantile((1 + level) / 2, sites - 1) * standardError;
      const method = `by site, t with ${sites - 1} df`;
      return {
        column: nameOfColumn(column),
        outcome: OUTCOMES[code as 0 | 1 | 2],
        against: OUTCOMES[fit.classes[0] as 0 | 1 | 2],
        logOdds: sites < 2
          ? absent("one site", "All signals lie at one site: how much sites differ cannot be told", n)
          : present(value, { low: value - half, high: value + half, level, method }, n),
        standardError,
        perUnits: column.scale,
      };
    })
  );
}
