import { checkColumns, checkRidge, checkWeights } from "./_check_columns.ts";
import { type LogisticFailure, newtonLogit } from "./_newton_logit.ts";
import type { Counts } from "./estimate.ts";

export interface LogisticRegressionOptions {
  /** Number of trials a row, where the outcome counts successes among them. Default: one a row. */
  readonly trials?: ArrayLike<number>;
  /** Weight of each row, 0 or above. Default 1. */
  readonly weights?: ArrayLike<number>;
  /**
   * Strength of the penalty: ridge / 2 times the sum of squared slopes is added to minus the log-likelihood. The intercept is free.
   * Default 0.
   */
  readonly ridge?: number;
  /** Whether the penalty is on slopes a standard deviation (n in its denominator) instead of a unit. Default false. */
  readonly standardise?: boolean;
  /** Most steps. Default 100. */
  readonly maxIterations?: number;
}

/** A fitted two-outcome logistic regression. */
export interface LogisticFit {
  readonly status: "converged";
  /** Intercept, then one slope a column, on the log-odds scale. */
  readonly coefficients: readonly number[];
  /** In the same order. With a ridge they are those of the penalised likelihood and leave out the bias. */
  readonly standardErrors: readonly number[];
  readonly covariance: readonly (readonly number[])[];
  /** Twice the log-likelihood lost against fitting each row exactly. */
  readonly deviance: number;
  /** The same for an intercept alone. */
  readonly nullDeviance: number;
  readonly degreesOfFreedom: number;
  readonly iterations: number;
  readonly n: Counts;
}

/**
 * Fits the log-odds of a yes-or-no outcome as a straight-line function of columns, by maximum likelihood with an optional ridge.
 *
 * @param columns Predictors, finite numbers, one array a column; an intercept is added. Leave rows with missing values out first.
 * @param outcome 0 or 1 a row, or any share between; with `trials`, successes from 0 to the trials of the row.
 * @returns Coefficients with standard errors, or a typed failure: separated, collinear, one class only, not converged. No number in
 * either is NaN.
 *
 * Sources: McCullagh and Nelder (1989), Generalized Linear Models, chapter 4; le Cessie and van Houwelingen (1992), Applied
 * Statistics 41:191-201 (ridge); Albert and Anderson (1984), Biometrika 71:1-10 (separation).
 * Throws RangeError for columns of unequal length, values that are not finite, outcomes or weights outside their ranges.
 *
 * @example
 * ```ts
 * import { logisticRegression } from "overiron";
 * const fit = logisticRegression([[1, 2, 3, 4]], [0, 1, 0, 1]);
 * if (fit.status !== "converged" || !(fit.coefficients[1]! > 0)) throw new Error("wrong");
 * if (logisticRegression([[1, 2, 3, 4]], [0, 0, 1, 1]).status !== "separated") throw new Error("wrong");
 * ```
 */
export function logisticRegression(
  columns: readonly ArrayLike<number>[],
  outcome: ArrayLike<number>,
  options: LogisticRegressionOptions = {},
): LogisticFit | LogisticFailure {
  const { trials, weights, ridge = 0, standardise = false, maxIterations = 100 } = options;
  const doing = "fit a logistic regression";
  const rows = outcome.length;
  checkColumns(doing, columns, rows);
  checkWeights(doing, weights, rows);
  checkRidge(doing, ridge);
  if (standardise && ridge === 0) {
    throw new RangeError(`Cannot ${doing}: standardise has no effect without a ridge`);
  }
  const targets = new Float64Array(2 * rows);
  const sums = [0, 0];
  for (let i = 0; i < rows; i++) {
    const total = trials?.[i] ?? 1, yes = outcome[i]!, weight = weights?.[i] ?? 1;
    if (!(yes >= 0 && yes <= total && Number.isFinite(total))) {
      throw new RangeError(`Cannot ${doing}: outcomes must be from 0 to ${total}, got ${yes} in row ${i}`);
    }
    targets[2 * i] = weight * (total - yes);
    targets[2 * i + 1] = weight * yes;
    sums[0]! += targets[2 * i]!;
    sums[1]! += targets[2 * i + 1]!;
  }
  const n = { rows };
  if (sums[0] === 0 || sums[1] === 0) {
    return {
      status: "one-class",
      reason: "Only one of the two outcomes came",
      devianceReached: 0,
      iterations: 0,
      n,
    };
  }
  const found = newtonLogit({
    columns,
    targets,
    rows,
    classes: 2,
    ridge,
    standardise,
    symmetric: false,
    maxIterations,
    n,
  });
  if (found.status !== "converged") return found;
  const width = columns.length + 1;
  return {
    status: "converged",
    coefficients: found.coefficients[0]!,
    standardErrors: Array.from({ length: width }, (_, i) => Math.sqrt(found.covariance[i * width + i]!)),
    covariance: Array.from(
      { length: width },
      (_, i) => [...found.covariance.subarray(i * width, (i + 1) * width)],
    ),
    deviance: found.deviance,
    nullDeviance: found.nullDeviance,
    degreesOfFreedom: rows - width,
    iterations: found.iterations,
    n,
  };
}

/**
 * Gives the probability that a fitted logistic regression forecasts for each row.
 *
 * @param coefficients Intercept, then one slope a column.
 * @param columns The columns of the fit, finite numbers.
 * @returns One probability a row, 0 to 1.
 *
 * Throws RangeError when the columns do not fit the coefficients.
 *
 * @example
 * ```ts
 * import { logisticProbabilities } from "overiron";
 * if (logisticProbabilities([0, 1], [[0]])[0] !== 0.5) throw new Error("wrong");
 * ```
 */
export function logisticProbabilities(
  coefficients: readonly number[],
  columns: readonly ArrayLike<number>[],
): Float64Array {
  const rows = columns[0]?.length ?? 0;
  if (coefficients.length !== columns.length + 1) {
    throw new RangeError(
      `Cannot forecast: need ${
        coefficients.length - 1
      } columns for these coefficients, got ${columns.length}`,
    );
  }
  checkColumns("forecast", columns, rows);
  return Float64Array.from({ length: rows }, (_, i) => {
    let sum = coefficients[0]!;
    for (let j = 0; j < columns.length; j++) sum += coefficients[j + 1]! * columns[j]![i]!;
    return sum >= 0 ? 1 / (1 + Math.exp(-sum)) : Math.exp(sum) / (1 + Math.exp(sum));
  });
}
