import { checkColumns, checkWeights } from "./_check_columns.ts";
import { checkSameLength } from "./_check_values.ts";
import { cholesky, inverseCholesky, solveCholesky } from "./_cholesky.ts";
import { clusterRows } from "./_cluster_rows.ts";
import { independent, scaled, unscaled } from "./_logit_scaling.ts";
import type { LogisticFailure } from "./_newton_logit.ts";
import type { Counts } from "./estimate.ts";
import { logisticRegression } from "./logistic_regression.ts";

export interface FirthLogisticOptions {
  /** Number of trials a row, where the outcome counts successes among them. Default: one a row. */
  readonly trials?: ArrayLike<number>;
  /** Weight of each row, 0 or above. Default 1. */
  readonly weights?: ArrayLike<number>;
  /** The cluster of each row, a name or a number: rows of one cluster may be alike. Default: each row its own. */
  readonly cluster?: ArrayLike<number | string>;
  /** Most steps. Default 200. */
  readonly maxIterations?: number;
}

/** A logistic regression with Firth's penalty: finite also where the outcomes can be told apart without error. */
export interface FirthFit {
  readonly status: "converged";
  /** Intercept, then one slope a column, on the log-odds scale. */
  readonly coefficients: readonly number[];
  /** From the information at the fit. */
  readonly covariance: readonly (readonly number[])[];
  readonly standardErrors: readonly number[];
  /** The sandwich over clusters, times G / (G - 1); null under two clusters. Degrees of freedom: clusters minus 1. */
  readonly robustCovariance: readonly (readonly number[])[] | null;
  readonly clusters: number;
  /** Log-likelihood plus half the log of the determinant of the information. */
  readonly penalisedLogLikelihood: number;
  /** Whether plain maximum likelihood has no finite answer here: one outcome only, or outcomes told apart without error. */
  readonly separated: boolean;
  readonly iterations: number;
  readonly n: Counts;
}

/**
 * Fits the log-odds of a yes-or-no outcome as a straight-line function of columns with Firth's penalty, which takes the leading bias away and keeps the
 * coefficients finite under separation.
 *
 * @param columns Predictors, finite numbers, one array a column; an intercept is added. None gives the intercept alone.
 * @param outcome 0 or 1 a row, or any share between; with `trials`, successes from 0 to the trials of the row.
 * @returns Coefficients with covariances; a failure where a column follows from the others or the steps run out. No number is NaN.
 *
 * Sources: Firth (1993), Biometrika 80:27-38 (Jeffreys prior as penalty); Heinze and Schemper (2002), Statistics in Medicine 21:2409-2419
 * (modified score y - p + h (1/2 - p)). Sandwich: Liang and Zeger (1986), Biometrika 73:13-22, on the modified scores.
 * Throws RangeError for columns of unequal length, values that are not finite, outcomes or weights outside their ranges.
 *
 * @example
 * ```ts
 * import { firthLogistic } from "overiron";
 * // Separated: every outcome above 2.5 is 1. The slope stays finite.
 * const fit = firthLogistic([[1, 2, 3, 4]], [0, 0, 1, 1]);
 * if (fit.status !== "converged" || !fit.separated || !(fit.coefficients[1]! > 0)) throw new Error("wrong");
 * ```
 */
export function firthLogistic(
  columns: readonly ArrayLike<number>[],
  outcome: ArrayLike<number>,
  options: FirthLogisticOptions = {},
): FirthFit | LogisticFailure {
  const { trials, weights, cluster, maxIterations = 200 } = options;
  const doing = "fit a logistic regression";
  const rows = outcome.length, width = columns.length + 1;
  checkColumns(doing, columns, rows);
  checkWeights(doing, weights, rows);
  if (cluster !== undefined) checkSameLength(doing, ["outcome", "cluster"], [rows, cluster.length]);
  if (rows === 0) throw new RangeError(`Cannot ${doing}: need a row, got 0`);
  const yes = new Float64Array(rows), totals = new Float64Array(rows);
  for (let i = 0; i < rows; i++) {
    const total = trials?.[i] ?? 1, weight = weights?.[i] ?? 1;
    if (!(outcome[i]! >= 0 && outcome[i]! <= total && Number.isFinite(total))) {
      throw new RangeError(
        `Cannot ${doing}: outcomes must be from 0 to ${total}, got ${outcome[i]} in row ${i}`,
      );
    }
    yes[i] = weight * outcome[i]!;
    totals[i] = weight * total;
  }
  const n = { rows };
  const fail = (status: LogisticFailure["status"], reason: string, iterations: number): LogisticFailure => ({
    status,
    reason,
    devianceReached: 0,
    iterations,
    n,
  });
  const { design, centres, scales } = scaled(columns, totals);
  if (!independent(design, totals, width)) {
    return fail("collinear", "A column is constant or follows from the others; leave it out", 0);
  }
  const share = new Float64Array(rows), information = new Float64Array(width * width);
  /** Shares and information at theta; gives the penalised log-likelihood, or -Infinity where the information vanishes. */
  const look = (theta: Float64Array): { value: number; factor: Float64Array | undefined } => {
    let value = 0;
    information.fill(0);
    for (let i = 0; i < rows; i++) {
      let eta = 0;
      for (let j = 0; j < width; j++) eta += theta[j]! * design[i * width + j]!;
      const small = Math.exp(-Math.abs(eta));
      share[i] = eta >= 0 ? 1 / (1 + small) : small / (1 + small);
      value += yes[i]! * eta - totals[i]! * (Math.max(eta, 0) + Math.log1p(small));
      const weight = totals[i]! * small / (1 + small) ** 2;
      for (let j = 0; j < width; j++) {
        for (let k = 0; k < width; k++) {
          information[j * width + k]! += weight * design[i * width + j]! * design[i * width + k]!;
        }
      }
    }
    const factor = cholesky(information, width);
    if (factor === undefined) return { value: -Infinity, factor };
    for (let j = 0; j < width; j++) value += Math.log(factor[j * width + j]!);
    return { value, factor };
  };
  const scores = new Float64Array(rows);
  const gradientAt = (inverse: Float64Array): Float64Array => {
    const gradient = new Float64Array(width);
    for (let i = 0; i < rows; i++) {
      const p = share[i]!;
      let leverage = 0;
      for (let j = 0; j < width; j++) {
        for (let k = 0; k < width; k++) {
          leverage += design[i * width + j]! * inverse[j * width + k]! * design[i * width + k]!;
        }
      }
      leverage *= totals[i]! * p * (1 - p);
      scores[i] = yes[i]! - totals[i]! * p + leverage * (0.5 - p);
      for (let j = 0; j < width; j++) gradient[j]! += scores[i]! * design[i * width + j]!;
    }
    return gradient;
  };
  let theta: Float64Array = new Float64Array(width);
  let now = look(theta);
  for (let iteration = 1; iteration <= maxIterations; iteration++) {
    const factor = now.factor!;
    const inverse = inverseCholesky(factor, width);
    const gradient = gradientAt(inverse);
    // Fisher's information leaves the penalty's own curvature out and can crawl; after some steps the curvature is taken by differences.
    const step = (iteration > 6 ? newtonStep(theta, gradient) : undefined) ?? solveCholesky(factor, gradient);
    const size = Math.max(...step.map(Math.abs));
    // No step of scaled coefficients above 2: far out the likelihood is flat and Newton would overshoot.
    const limit = Math.min(1, 2 / size);
    if (size <= 1e-9 * (1 + Math.max(...theta.map(Math.abs)))) {
      look(theta);
      gradientAt(inverse);
      return finished(theta, inverse, iteration);
    }
    let moved = false;
    for (let shrink = limit; shrink > 1e-9; shrink /= 2) {
      const next = theta.map((value, j) => value + shrink * step[j]!);
      const after = look(next);
      if (after.value >= now.value - 1e-12 * Math.abs(now.value)) {
        theta = next;
        now = after;
        moved = true;
        break;
      }
    }
    if (!moved) {
      now = look(theta);
      gradientAt(inverse);
      return size < 1e-5
        ? finished(theta, inverse, iteration)
        : fail("not-converged", "No step raises the likelihood", iteration);
    }
  }
  return fail("not-converged", `No convergence in ${maxIterations} steps`, maxIterations);

  /** The step of Newton's method with the score differentiated by central differences; undefined where the top is not near. */
  function newtonStep(at: Float64Array, gradient: Float64Array): Float64Array | undefined {
    const curvature = new Float64Array(width * width), ahead = 1e-5;
    for (let j = 0; j < width; j++) {
      const slopes = [ahead, -ahead].map((move) => {
        const there = look(at.map((value, k) => k === j ? value + move : value));
        return there.factor === undefined ? undefined : gradientAt(inverseCholesky(there.factor, width));
      });
      if (slopes[0] === undefined || slopes[1] === undefined) return undefined;
      for (let k = 0; k < width; k++) {
        curvature[j * width + k] = (slopes[1]![k]! - slopes[0]![k]!) / (2 * ahead);
      }
    }
    look(at);
    for (let j = 0; j < width; j++) {
      for (let k = 0; k < j; k++) {
        const both = (curvature[j * width + k]! + curvature[k * width + j]!) / 2;
        curvature[j * width + k] = both;
        curvature[k * width + j] = both;
      }
    }
    const factor = cholesky(curvature, width, 1e-10);
    return factor === undefined ? undefined : solveCholesky(factor, gradient);
  }

  function finished(at: Float64Array, inverse: Float64Array, iterations: number): FirthFit {
    const groups = clusterRows(cluster ?? Array.from({ length: rows }, (_, i) => i));
    const meat = new Float64Array(width * width);
    for (const group of groups) {
      const score = new Float64Array(width);
      for (const i of group) for (let j = 0; j < width; j++) score[j]! += scores[i]! * design[i * width + j]!;
      for (let j = 0; j < width; j++) {
        for (let k = 0; k < width; k++) meat[j * width + k]! += score[j]! * score[k]!;
      }
    }
    const sandwich = new Float64Array(width * width), count = groups.length;
    for (let a = 0; a < width; a++) {
      for (let b = 0; b < width; b++) {
        let sum = 0;
        for (let j = 0; j < width; j++) {
          for (let k = 0; k < width; k++) {
            sum += inverse[a * width + j]! * meat[j * width + k]! * inverse[k * width + b]!;
          }
        }
        sandwich[a * width + b] = sum * count / Math.max(1, count - 1);
      }
    }
    const plain = unscaled(at, inverse, centres, scales, 2),
      robust = unscaled(at, sandwich, centres, scales, 2);
    const square = (flat: Float64Array) =>
      Array.from({ length: width }, (_, i) => [...flat.subarray(i * width, (i + 1) * width)]);
    const ordinary = columns.length === 0 ? null : logisticRegression(columns, outcome, {
      ...(trials ? { trials } : {}),
      ...(weights ? { weights } : {}),
    });
    const sum = yes.reduce((a, b) => a + b, 0), all = totals.reduce((a, b) => a + b, 0);
    return {
      status: "converged",
      coefficients: plain.coefficients[0]!,
      covariance: square(plain.covariance),
      standardErrors: Array.from({ length: width }, (_, i) => Math.sqrt(plain.covariance[i * width + i]!)),
      robustCovariance: count < 2 ? null : square(robust.covariance),
      clusters: count,
      penalisedLogLikelihood: now.value,
      separated: ordinary === null
        ? sum === 0 || sum === all
        : ordinary.status === "separated" || ordinary.status === "one-class",
      iterations,
      n,
    };
  }
}
