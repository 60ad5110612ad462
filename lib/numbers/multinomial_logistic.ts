import { checkColumns, checkRidge, checkWeights } from "./_check_columns.ts";
import { type LogisticFailure, newtonLogit } from "./_newton_logit.ts";
import type { Counts } from "./estimate.ts";

export interface MultinomialLogisticOptions {
  /** Number of classes. Default: the largest outcome plus one. */
  readonly classes?: number;
  /** Weight of each row, 0 or above. Default 1. */
  readonly weights?: ArrayLike<number>;
  /**
   * Strength of the penalty: ridge / 2 times the sum of squared slopes over all classes, written so that they add up to 0 over the
   * classes, is added to minus the log-likelihood; it favours no class. Intercepts are free. Default 0.
   */
  readonly ridge?: number;
  /** Whether the penalty is on slopes a standard deviation (n in its denominator) instead of a unit. Default false. */
  readonly standardise?: boolean;
  /** Most steps. Default 100. */
  readonly maxIterations?: number;
}

/** A fitted multinomial logistic regression. */
export interface MultinomialFit {
  readonly status: "converged";
  readonly classes: number;
  /** Classes that had cases, in rising order; the first is the one that coefficients compare with. */
  readonly present: readonly number[];
  /** One row a class: intercept, then one slope a column; zeros for the class compared with, empty for a class without cases. */
  readonly coefficients: readonly (readonly number[])[];
  /** In the same shape; zeros for the class compared with, which is fixed. With a ridge they leave out the bias. */
  readonly standardErrors: readonly (readonly number[])[];
  readonly deviance: number;
  readonly nullDeviance: number;
  readonly ridge: number;
  readonly iterations: number;
  readonly n: Counts;
}

/**
 * Fits the probabilities of several classes as a multinomial logit of columns, by maximum likelihood with an optional ridge.
 *
 * @param columns Predictors, finite numbers, one array a column; intercepts are added. Leave or fill missing values first.
 * @param outcome The class of each row, a whole number from 0.
 * @returns Coefficients against the first class met, or a typed failure: separated (only without a ridge), collinear, one class only,
 * not converged. A class without cases gets no coefficients and probability 0. No number in either is NaN. With two classes a ridge r here
 * does what r / 2 does in `logisticRegression`.
 *
 * Sources: McCullagh and Nelder (1989), Generalized Linear Models, chapter 5; Friedman, Hastie and Tibshirani (2010), Journal of
 * Statistical Software 33(1), section 4 (symmetric penalty); Albert and Anderson (1984), Biometrika 71:1-10 (separation).
 * Throws RangeError for columns of unequal length, values that are not finite, outcomes or weights outside their ranges.
 *
 * @example
 * ```ts
 * import { multinomialLogistic } from "overiron";
 * const fit = multinomialLogistic([[1, 2, 3, 4, 5, 6]], [0, 1, 0, 2, 1, 2], { ridge: 0.1 });
 * if (fit.status !== "converged" || !(fit.coefficients[2]![1]! > 0)) throw new Error("wrong");
 * ```
 */
export function multinomialLogistic(
  columns: readonly ArrayLike<number>[],
  outcome: ArrayLike<number>,
  options: MultinomialLogisticOptions = {},
): MultinomialFit | LogisticFailure {
  const { weights, ridge = 0, standardise = false, maxIterations = 100 } = options;
  const doing = "fit a multinomial logistic regression";
  const rows = outcome.length;
  let most = -1;
  for (let i = 0; i < rows; i++) most = Math.max(most, outcome[i]!);
  const { classes = most + 1 } = options;
  checkColumns(doing, columns, rows);
  checkWeights(doing, weights, rows);
  checkRidge(doing, ridge);
  if (standardise && ridge === 0) {
    throw new RangeError(`Cannot ${doing}: standardise has no effect without a ridge`);
  }
  const sums = new Float64Array(Math.max(0, classes));
  for (let i = 0; i < rows; i++) {
    const y = outcome[i]!;
    if (!Number.isInteger(y) || y < 0 || y >= classes) {
      throw new RangeError(
        `Cannot ${doing}: outcomes must be classes from 0 to ${classes - 1}, got ${y} in row ${i}`,
      );
    }
    sums[y]! += weights?.[i] ?? 1;
  }
  const present = Array.from(sums.keys()).filter((k) => sums[k]! > 0);
  const n = { rows };
  if (present.length < 2) {
    const reason = present.length === 0 ? "There is no case" : "All cases are of one class";
    return { status: "one-class", reason, devianceReached: 0, iterations: 0, n };
  }
  const targets = new Float64Array(rows * present.length);
  for (let i = 0; i < rows; i++) {
    // A class can lack a place only where all its rows weigh nothing.
    const place = present.indexOf(outcome[i]!);
    if (place >= 0) targets[i * present.length + place] = weights?.[i] ?? 1;
  }
  const found = newtonLogit({
    columns,
    targets,
    rows,
    classes: present.length,
    ridge,
    standardise,
    symmetric: true,
    maxIterations,
    n,
  });
  if (found.status !== "converged") return found;
  const width = columns.length + 1, size = (present.length - 1) * width;
  const perClass = (row: (place: number) => number[]): number[][] =>
    Array.from({ length: classes }, (_, k) => {
      const place = present.indexOf(k);
      return place < 0 ? [] : place === 0 ? new Array<number>(width).fill(0) : row(place - 1);
    });
  return {
    status: "converged",
    classes,
    present,
    coefficients: perClass((a) => found.coefficients[a]!),
    standardErrors: perClass((a) =>
      Array.from({ length: width }, (_, i) => Math.sqrt(found.covariance[(a * width + i) * (size + 1)]!))
    ),
    deviance: found.deviance,
    nullDeviance: found.nullDeviance,
    ridge,
    iterations: found.iterations,
    n,
  };
}

/**
 * Gives the probability of each class that a fitted multinomial logistic regression forecasts for each row.
 *
 * @param coefficients One row a class: intercept, then one slope a column; an empty row gives probability 0.
 * @param columns The columns of the fit, finite numbers.
 * @param rows Number of rows. Default: the length of the first column; needed for a fit without columns.
 * @returns Probabilities by row, `rows` times the number of classes; each row adds up to 1.
 *
 * Throws RangeError when the columns do not fit the coefficients.
 *
 * @example
 * ```ts
 * import { multinomialProbabilities } from "overiron";
 * const shares = multinomialProbabilities([[0, 0], [0, 1], []], [[0]]);
 * if (shares[0] !== 0.5 || shares[2] !== 0) throw new Error("wrong");
 * ```
 */
export function multinomialProbabilities(
  coefficients: readonly (readonly number[])[],
  columns: readonly ArrayLike<number>[],
  rows: number = columns[0]?.length ?? 0,
): Float64Array {
  const classes = coefficients.length;
  if (!coefficients.some((row) => row.length > 0)) {
    throw new RangeError("Cannot forecast: no class has coefficients");
  }
  for (const row of coefficients) {
    if (row.length > 0 && row.length !== columns.length + 1) {
      throw new RangeError(
        `Cannot forecast: need ${row.length - 1} columns for these coefficients, got ${columns.length}`,
      );
    }
  }
  checkColumns("forecast", columns, rows);
  const out = new Float64Array(rows * classes);
  for (let i = 0; i < rows; i++) {
    let top = -Infinity;
    for (let k = 0; k < classes; k++) {
      const row = coefficients[k]!;
      let sum = row.length === 0 ? -Infinity : row[0]!;
      for (let j = 1; j < row.length; j++) sum += row[j]! * columns[j - 1]![i]!;
      out[i * classes + k] = sum;
      if (sum > top) top = sum;
    }
    let sum = 0;
    for (let k = 0; k < classes; k++) sum += out[i * classes + k] = Math.exp(out[i * classes + k]! - top);
    for (let k = 0; k < classes; k++) out[i * classes + k]! /= sum;
  }
  return out;
}
