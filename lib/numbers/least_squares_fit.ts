import { checkValues } from "./_check_values.ts";
import { differences } from "./_differences.ts";
import { gaussNewtonStep, levenbergStep, norm, type PivotedQr, pivotedQr } from "./_trust_region.ts";
import type { Counts } from "./estimate.ts";

/** What is left of each row, observed minus fitted (or fitted minus observed), times the root of the row's weight. */
export type Residuals = (parameters: Float64Array) => ArrayLike<number>;

export interface LeastSquaresFitOptions {
  /** Derivatives of the residuals, `jacobian[row * parameters + parameter]`. Default: central differences. */
  readonly jacobian?: (parameters: Float64Array) => Float64Array;
  /** Most calls of `residuals` for steps, those for derivatives not counted. Default 400 times (parameters + 1). */
  readonly maxEvaluations?: number;
  /** Relative change of the sum of squares and of the parameters at which the search rests. Default 1e-14. */
  readonly tolerance?: number;
  /** First radius of the trust region, as a multiple of the scaled start. Default 100. */
  readonly factor?: number;
  /** Whether parameters are scaled by the norms of the derivatives or not at all. Default: the first, then the second where it fails. */
  readonly scaling?: "derivatives" | "none";
  /** Name of the row in the counts. Default "rows". */
  readonly unit?: string;
}

/** A least-squares fit that settled. */
export interface LeastSquaresSolution {
  readonly status: "converged";
  readonly parameters: readonly number[];
  /** Square roots of the diagonal of the covariance, in the order of the parameters. */
  readonly standardErrors: readonly number[];
  /** Residual variance times the inverse of J'J. */
  readonly covariance: readonly (readonly number[])[];
  readonly residualSumOfSquares: number;
  /** Root of the sum of squares over the degrees of freedom. */
  readonly residualStandardDeviation: number;
  /** Rows minus parameters. */
  readonly degreesOfFreedom: number;
  readonly residuals: Float64Array;
  /** Derivatives of the residuals at the solution, `jacobian[row * parameters + parameter]`. */
  readonly jacobian: Float64Array;
  readonly evaluations: number;
  readonly n: Counts;
}

/** A least-squares fit that does not stand. */
export interface LeastSquaresFailure {
  /**
   * "too-few": not more rows than parameters; "not-finite": residuals or derivatives are not numbers where the search stands; "singular":
   * the rows cannot tell the parameters apart there; "not-converged": the search stopped away from a least sum of squares.
   */
  readonly status: "too-few" | "not-finite" | "singular" | "not-converged";
  readonly reason: string;
  /** Where the search stopped: no estimates. */
  readonly parametersReached: readonly number[];
  readonly evaluations: number;
  readonly n: Counts;
}

/**
 * Fits the parameters of a curve by least squares, with standard errors, or says why they cannot be had.
 *
 * @param residuals Gives what is left of each row for some parameters: an array of one length, more rows than parameters. A trial point
 * where it is not finite counts as a bad step.
 * @param start First guess of each parameter, finite.
 * @returns The fit, or a typed failure. It counts as converged only where one more Gauss-Newton step would move no parameter by more
 * than a thousandth of its standard error (or 1e-8 of itself) and the derivatives tell all parameters apart (scaled condition below
 * 1e10). A local minimum can pass: try other starts where it matters.
 *
 * Method: Levenberg-Marquardt with a scaled trust region, Moré (1978), Lecture Notes in Mathematics 630:105-116. Errors: linear
 * approximation, Bates and Watts (1988), Nonlinear Regression Analysis, chapter 2.
 * Throws RangeError for a start that is not finite, no parameter, or residuals that change their length.
 *
 * @example
 * ```ts
 * import { leastSquaresFit } from "overiron";
 * const x = [0, 1, 2, 3], y = [4, 2.1, 0.9, 0.5];
 * const fit = leastSquaresFit(([a, b]) => x.map((value, i) => y[i]! - a! * Math.exp(-b! * value)), [1, 1]);
 * if (fit.status !== "converged" || Math.abs(fit.parameters[0]! - 4) > 0.1) throw new Error("wrong");
 * ```
 */
export function leastSquaresFit(
  residuals: Residuals,
  start: ArrayLike<number>,
  options: LeastSquaresFitOptions = {},
): LeastSquaresSolution | LeastSquaresFailure {
  checkValues("fit by least squares", start);
  if (options.scaling !== undefined) return search(residuals, start, options, options.scaling);
  const first = search(residuals, start, options, "derivatives");
  if (first.status === "converged" || first.status === "too-few") return first;
  const second = search(residuals, start, options, "none");
  return second.status === "converged" ? second : first;
}

function search(
  residuals: Residuals,
  start: ArrayLike<number>,
  options: LeastSquaresFitOptions,
  scaling: "derivatives" | "none",
): LeastSquaresSolution | LeastSquaresFailure {
  const size = start.length;
  const { tolerance = 1e-14, factor = 100, maxEvaluations = 400 * (size + 1), unit = "rows" } = options;
  let x: Float64Array = Float64Array.from(start);
  let f: Float64Array = Float64Array.from(residuals(x.slice()));
  const rows = f.length;
  const n: Counts = { [unit]: rows };
  let evaluations = 1;
  const stop = (status: LeastSquaresFailure["status"], reason: string): LeastSquaresFailure => ({
    status,
    reason,
    parametersReached: [...x],
    evaluations,
    n,
  });
  if (rows <= size) return stop("too-few", `${size} parameters need more than ${size} ${unit}, got ${rows}`);
  const at = (point: Float64Array): Float64Array => {
    const out = Float64Array.from(residuals(point.slice()));
    if (out.length !== rows) {
      throw new RangeError(
        `Cannot fit by least squares: residuals must stay ${rows} long, got ${out.length}`,
      );
    }
    return out;
  };
  const derive = (point: Float64Array) => options.jacobian?.(point.slice()) ?? differences(at, point, rows);
  let length = norm(f);
  if (!f.every(Number.isFinite)) return stop("not-finite", "The residuals at the start are not all finite");
  const scale = new Float64Array(size).fill(1);
  let radius = 0, par = 0;
  for (let iteration = 0; evaluations < maxEvaluations; iteration++) {
    const jacobian = derive(x);
    if (!jacobian.every(Number.isFinite)) return stop("not-finite", "The derivatives are not all finite");
    const qr = pivotedQr(jacobian, size, f);
    if (iteration === 0) {
      if (scaling === "derivatives") qr.norms.forEach((value, j) => scale[j] = value || 1);
      radius = factor * (norm(x.map((value, j) => value * scale[j]!)) || 1);
    }
    if (length === 0 || slope(qr, length) === 0) break;
    if (scaling === "derivatives") qr.norms.forEach((value, j) => scale[j] = Math.max(scale[j]!, value));
    let ratio = 0, rests = false;
    do {
      const damped = levenbergStep(qr, scale, radius, par);
      par = damped.par;
      const next = x.map((value, j) => value - damped.step[j]!);
      const stepLength = norm(damped.step.map((value, j) => value * scale[j]!));
      if (iteration === 0 && evaluations === 1) radius = Math.min(radius, stepLength);
      const after = at(next);
      evaluations++;
      const lengthAfter = after.every(Number.isFinite) ? norm(after) : Infinity;
      const actual = 0.1 * lengthAfter < length ? 1 - (lengthAfter / length) ** 2 : -1;
      const linear = norm(product(qr, damped.step)) / length;
      const damping = Math.sqrt(par) * stepLength / length;
      const predicted = linear ** 2 + 2 * damping ** 2;
      const descent = -(linear ** 2 + damping ** 2);
      ratio = predicted === 0 ? 0 : actual / predicted;
      if (ratio <= 0.25) {
        let shrink = actual >= 0 ? 0.5 : 0.5 * descent / (descent + 0.5 * actual);
        if (0.1 * lengthAfter >= length || shrink < 0.1) shrink = 0.1;
        radius = shrink * Math.min(radius, stepLength / 0.1);
        par /= shrink;
      } else if (par === 0 || ratio >= 0.75) {
        radius = stepLength / 0.5;
        par *= 0.5;
      }
      if (ratio >= 1e-4) {
        [x, f, length] = [next, after, lengthAfter];
      }
      const size2 = norm(x.map((value, j) => value * scale[j]!));
      const flat = Math.abs(actual) <= tolerance && predicted <= tolerance && ratio <= 2;
      const still = radius <= tolerance * size2;
      const exhausted = predicted <= Number.EPSILON && Math.abs(actual) <= Number.EPSILON;
      rests = (flat && still) || radius <= Number.EPSILON * size2 || exhausted || length === 0;
    } while (ratio < 1e-4 && !rests && evaluations < maxEvaluations);
    if (rests) break;
  }
  // The sum of squares is flat to rounding well before the parameters are: one plain step more sharpens them.
  const polished = x.slice();
  gaussNewtonStep(pivotedQr(derive(x), size, f)).forEach((value, j) => polished[j]! -= value);
  if (polished.every(Number.isFinite)) {
    const after = at(polished);
    evaluations++;
    if (after.every(Number.isFinite) && norm(after) <= length * (1 + 1e-14)) [x, f] = [polished, after];
  }
  return judged(x, f, derive(x), { stop, evaluations, n });
}

/** Largest cosine between the residuals and a column of derivatives. */
function slope(qr: PivotedQr, length: number): number {
  const size = qr.order.length;
  let most = 0;
  for (let k = 0; k < size; k++) {
    const norm = qr.norms[qr.order[k]!]!;
    if (norm === 0) continue;
    let sum = 0;
    for (let i = 0; i <= k; i++) sum += qr.r[i * size + k]! * qr.qtb[i]!;
    most = Math.max(most, Math.abs(sum / length / norm));
  }
  return most;
}

/** R P' x: the change of the residuals along a step, turned into the space of the triangle. */
function product(qr: PivotedQr, x: Float64Array): Float64Array {
  const size = x.length;
  const out = new Float64Array(size);
  for (let j = 0; j < size; j++) {
    const value = x[qr.order[j]!]!;
    for (let i = 0; i <= j; i++) out[i]! += qr.r[i * size + j]! * value;
  }
  return out;
}

/** Tests the point where the search rests, and gives the fit or the reason against it. */
function judged(
  x: Float64Array,
  f: Float64Array,
  jacobian: Float64Array,
  found: {
    stop: (status: LeastSquaresFailure["status"], reason: string) => LeastSquaresFailure;
    evaluations: number;
    n: Counts;
  },
): LeastSquaresSolution | LeastSquaresFailure {
  const { stop, evaluations, n } = found;
  const size = x.length, rows = f.length;
  if (!jacobian.every(Number.isFinite)) return stop("not-finite", "The derivatives are not all finite");
  // Columns of length 1 make the condition independent of the units of the parameters.
  const norms = pivotedQr(jacobian, size, f).norms;
  const unit = jacobian.map((value, at) => value / (norms[at % size]! || 1));
  const qr = pivotedQr(unit, size, f);
  const pivots = Array.from({ length: size }, (_, k) => Math.abs(qr.r[k * size + k]!));
  if (norms.some((value) => value === 0) || Math.min(...pivots) < 1e-10 * Math.max(...pivots)) {
    return stop("singular", "The rows cannot tell the parameters apart where the search stopped");
  }
  const residualSumOfSquares = norm(f) ** 2;
  const degreesOfFreedom = rows - size;
  const variance = residualSumOfSquares / degreesOfFreedom;
  // Covariance = variance * R^-1 R^-T, with the columns put back in order and the scaling undone.
  const inverse = upperInverse(qr.r, size);
  const covariance = Array.from({ length: size }, () => new Array<number>(size).fill(0));
  for (let a = 0; a < size; a++) {
    for (let b = 0; b < size; b++) {
      let sum = 0;
      for (let k = Math.max(a, b); k < size; k++) sum += inverse[a * size + k]! * inverse[b * size + k]!;
      const [i, j] = [qr.order[a]!, qr.order[b]!];
      covariance[i]![j] = variance * sum / (norms[i]! * norms[j]!);
    }
  }
  const standardErrors = covariance.map((row, j) => Math.sqrt(row[j]!));
  const step = gaussNewtonStep(qr);
  for (let j = 0; j < size; j++) {
    const move = Math.abs(step[j]! / norms[j]!);
    if (!(move <= 1e-3 * standardErrors[j]! || move <= 1e-8 * Math.abs(x[j]!) || move === 0)) {
      return stop("not-converged", "The search stopped away from a least sum of squares; try another start");
    }
  }
  if (![...standardErrors, residualSumOfSquares, ...x].every(Number.isFinite)) {
    return stop("singular", "The standard errors are not finite");
  }
  return {
    status: "converged",
    parameters: [...x],
    standardErrors,
    covariance,
    residualSumOfSquares,
    residualStandardDeviation: Math.sqrt(variance),
    degreesOfFreedom,
    residuals: f,
    jacobian,
    evaluations,
    n,
  };
}

function upperInverse(r: Float64Array, size: number): Float64Array {
  const out = new Float64Array(size * size);
  for (let j = 0; j < size; j++) {
    out[j * size + j] = 1 / r[j * size + j]!;
    for (let i = j - 1; i >= 0; i--) {
      let sum = 0;
      for (let k = i + 1; k <= j; k++) sum += r[i * size + k]! * out[k * size + j]!;
      out[i * size + j] = -sum / r[i * size + i]!;
    }
  }
  return out;
}
