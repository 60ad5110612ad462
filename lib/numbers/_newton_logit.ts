import { cholesky, inverseCholesky, solveCholesky, type Square } from "./_cholesky.ts";
import { independent, scaled, unscaled } from "./_logit_scaling.ts";
import type { Counts } from "./estimate.ts";

/** Why a logistic fit has no coefficients. */
export interface LogisticFailure {
  /**
   * "separated": the outcome can be told without error along some direction, so that no finite coefficients are best; "collinear":
   * a column is constant or made up of others; "one-class": only one class has cases; "not-converged": the steps ran out.
   */
  readonly status: "separated" | "collinear" | "one-class" | "not-converged";
  readonly reason: string;
  /** Whether all cases can be told ("complete") or some remain undecided ("quasi-complete"); only where separated. */
  readonly separation?: "complete" | "quasi-complete";
  /** The deviance when the search stopped: near its lower bound where separated, 0 where it was not begun. */
  readonly devianceReached: number;
  readonly iterations: number;
  readonly n: Counts;
}

/** What the search found, for classes 1 and up against class 0, in the units of the columns. */
export interface LogitSolution {
  readonly status: "converged";
  /** `coefficients[class - 1]`: intercept, then one a column. */
  readonly coefficients: number[][];
  /** Inverse of the (penalised) information, parameters class by class. */
  readonly covariance: Square;
  readonly deviance: number;
  readonly nullDeviance: number;
  readonly iterations: number;
}

export interface LogitProblem {
  readonly columns: readonly ArrayLike<number>[];
  /** Weight of each class in each row, `targets[row * classes + class]`. */
  readonly targets: Float64Array;
  readonly rows: number;
  readonly classes: number;
  readonly ridge: number;
  /** Whether the penalty is on coefficients a standard deviation instead of a unit. */
  readonly standardise: boolean;
  /** Whether the penalty treats all classes alike (sum over classes of squared coefficients that add up to 0). */
  readonly symmetric: boolean;
  readonly maxIterations: number;
  readonly n: Counts;
}

/**
 * Newton's method with step halving for a multinomial logit, on columns scaled inside to mean 0 and deviation 1. Separation is found
 * by its certificate (Albert and Anderson 1984, Biometrika 71:1-10): a direction along which no case loses and some gain.
 */
export function newtonLogit(problem: LogitProblem): LogitSolution | LogisticFailure {
  const { columns, targets, rows, classes, ridge, symmetric, maxIterations, n } = problem;
  const p = columns.length, width = p + 1, size = (classes - 1) * width;
  const totals = new Float64Array(rows);
  for (let i = 0; i < rows; i++) for (let k = 0; k < classes; k++) totals[i]! += targets[i * classes + k]!;
  const { design, centres, scales } = scaled(columns, totals);
  const fail = (status: LogisticFailure["status"], reason: string, devianceReached = 0, iterations = 0) =>
    ({ status, reason, devianceReached, iterations, n }) as LogisticFailure;
  if (ridge === 0 && !independent(design, totals, width)) {
    return fail("collinear", "A column is constant or follows from the others; leave it out or set a ridge");
  }
  const penalty = new Float64Array(width);
  for (let j = 0; j < p; j++) penalty[j + 1] = problem.standardise ? ridge : ridge / scales[j]! ** 2;
  const between = (a: number, b: number) => (a === b ? 1 : 0) - (symmetric ? 1 / classes : 0);

  const saturated = saturatedLogLikelihood(targets, totals, classes);
  const logits = new Float64Array(classes);
  const shares = new Float64Array(classes);
  /** Shares of the classes in row i; returns log of their normaliser. */
  const predict = (theta: Float64Array, i: number): number => {
    let top = 0;
    for (let k = 1; k < classes; k++) {
      let sum = 0;
      for (let j = 0; j < width; j++) sum += theta[(k - 1) * width + j]! * design[i * width + j]!;
      logits[k] = sum;
      if (sum > top) top = sum;
    }
    let sum = 0;
    for (let k = 0; k < classes; k++) sum += shares[k] = Math.exp(logits[k]! - top);
    for (let k = 0; k < classes; k++) shares[k]! /= sum;
    return top + Math.log(sum);
  };
  const objective = (theta: Float64Array): { deviance: number; value: number } => {
    let logLikelihood = 0;
    for (let i = 0; i < rows; i++) {
      const normaliser = predict(theta, i);
      for (let k = 0; k < classes; k++) {
        const target = targets[i * classes + k]!;
        if (target > 0) logLikelihood += target * (logits[k]! - normaliser);
      }
    }
    let cost = 0;
    for (let a = 0; a < classes - 1; a++) {
      for (let b = 0; b < classes - 1; b++) {
        for (let j = 1; j < width; j++) {
          cost += penalty[j]! * between(a, b) * theta[a * width + j]! * theta[b * width + j]!;
        }
      }
    }
    return { deviance: 2 * (saturated - logLikelihood), value: saturated - logLikelihood + cost / 2 };
  };

  const gradient = new Float64Array(size), hessian = new Float64Array(size * size);
  const derive = (theta: Float64Array): void => {
    gradient.fill(0);
    hessian.fill(0);
    for (let i = 0; i < rows; i++) {
      if (totals[i] === 0) continue;
      predict(theta, i);
      for (let a = 1; a < classes; a++) {
        const miss = totals[i]! * shares[a]! - targets[i * classes + a]!;
        for (let j = 0; j < width; j++) gradient[(a - 1) * width + j]! += miss * design[i * width + j]!;
        for (let b = 1; b <= a; b++) {
          const weight = totals[i]! * shares[a]! * ((a === b ? 1 : 0) - shares[b]!);
          for (let j = 0; j < width; j++) {
            const factor = weight * design[i * width + j]!;
            const at = ((a - 1) * width + j) * size + (b - 1) * width;
            for (let l = 0; l < width; l++) hessian[at + l]! += factor * design[i * width + l]!;
          }
        }
      }
    }
    for (let a = 0; a < classes - 1; a++) {
      for (let b = 0; b < classes - 1; b++) {
        for (let j = 1; j < width; j++) {
          gradient[a * width + j]! += penalty[j]! * between(a, b) * theta[b * width + j]!;
          if (b <= a) hessian[(a * width + j) * size + b * width + j]! += penalty[j]! * between(a, b);
        }
      }
    }
    for (let r = 0; r < size; r++) {
      for (let c = r + 1; c < size; c++) hessian[r * size + c] = hessian[c * size + r]!;
    }
  };

  let theta = new Float64Array(size);
  let now = objective(theta);
  const nullDeviance = nullDevianceOf(targets, classes, saturated);
  let separation: "complete" | "quasi-complete" | undefined;
  for (let iteration = 1; iteration <= maxIterations; iteration++) {
    derive(theta);
    const factor = damped(hessian, size);
    if (factor === undefined) {
      return fail("not-converged", "The curvature could not be worked out", now.deviance, iteration);
    }
    const step = solveCholesky(factor, gradient);
    let change = 0, largest = 0;
    for (let r = 0; r < size; r++) {
      change = Math.max(change, Math.abs(step[r]!));
      largest = Math.max(largest, Math.abs(theta[r]!));
    }
    if (ridge === 0) {
      const away = step.map((x) => -x);
      if (spares(theta, design, problem, 0)) separation = "complete";
      else if (change > 1e-3 && iteration > 5 && spares(away, design, problem, 1e-7)) {
        separation ??= "quasi-complete";
      } else if (separation === "quasi-complete" && change <= 1e-3) separation = undefined;
    }
    // Near the optimum the objective changes by less than its rounding; the slack lets the last exact steps through.
    const slack = 1e-12 * (1 + Math.abs(now.value));
    for (let length = 1; length > 1e-10; length /= 2) {
      const next = theta.map((x, r) => x - length * step[r]!);
      const after = objective(next);
      if (after.value <= now.value + slack) {
        theta = next;
        now = after;
        break;
      }
    }
    // A separated deviance falls by a factor e a step; stop once what is left to gain no longer matters.
    const settled = separation !== undefined && iteration >= 20;
    if (settled || (separation === "complete" && now.deviance < 1e-6)) {
      const reason = separation === "complete"
        ? "The columns tell all cases apart, so that no finite coefficients are best; set a ridge"
        : "The columns tell some cases apart without error, so that no finite coefficients are best; set a ridge";
      return { ...fail("separated", reason, now.deviance, iteration), separation };
    }
    if (change <= 1e-9 * (1 + largest)) {
      derive(theta);
      const last = cholesky(hessian, size);
      if (last === undefined) break;
      return {
        status: "converged",
        ...unscaled(theta, inverseCholesky(last, size), centres, scales, classes),
        deviance: now.deviance,
        nullDeviance,
        iterations: iteration,
      };
    }
  }
  return fail("not-converged", `No convergence in ${maxIterations} steps`, now.deviance, maxIterations);
}

/** Cholesky factor of the curvature, with as little added to its diagonal as makes it definite. */
function damped(hessian: Square, size: number): Square | undefined {
  let extra = 0;
  let largest = 0;
  for (let r = 0; r < size; r++) largest = Math.max(largest, hessian[r * size + r]!);
  for (let attempt = 0; attempt < 20; attempt++) {
    const copy = hessian.slice();
    for (let r = 0; r < size; r++) copy[r * size + r]! += extra;
    const factor = cholesky(copy, size);
    if (factor) return factor;
    extra = extra === 0 ? 1e-14 * largest : extra * 10;
  }
  return undefined;
}

/** Whether moving along a direction costs no case anything (up to a tolerance) while some gain; at tolerance 0 every case must gain. */
function spares(
  direction: Float64Array,
  design: Float64Array,
  problem: LogitProblem,
  tolerance: number,
): boolean {
  const { targets, rows, classes } = problem;
  const width = problem.columns.length + 1;
  let least = Infinity, most = 0;
  const scores = new Float64Array(classes);
  for (let i = 0; i < rows; i++) {
    for (let k = 1; k < classes; k++) {
      let sum = 0;
      for (let j = 0; j < width; j++) sum += direction[(k - 1) * width + j]! * design[i * width + j]!;
      scores[k] = sum;
    }
    for (let k = 0; k < classes; k++) {
      if (!(targets[i * classes + k]! > 0)) continue;
      for (let l = 0; l < classes; l++) {
        if (l === k) continue;
        const margin = scores[k]! - scores[l]!;
        if (margin < least) least = margin;
        if (margin > most) most = margin;
      }
    }
  }
  return most > 0 && (tolerance === 0 ? least > 0 : least >= -tolerance * most);
}

function saturatedLogLikelihood(targets: Float64Array, totals: Float64Array, classes: number): number {
  let sum = 0;
  for (let i = 0; i < targets.length; i++) {
    if (targets[i]! > 0) sum += targets[i]! * Math.log(targets[i]! / totals[Math.floor(i / classes)]!);
  }
  return sum;
}

function nullDevianceOf(targets: Float64Array, classes: number, saturated: number): number {
  const sums = new Float64Array(classes);
  for (let i = 0; i < targets.length; i++) sums[i % classes]! += targets[i]!;
  const all = sums.reduce((sum, x) => sum + x, 0);
  let logLikelihood = 0;
  for (const sum of sums) if (sum > 0) logLikelihood += sum * Math.log(sum / all);
  return 2 * (saturated - logLikelihood);
}
