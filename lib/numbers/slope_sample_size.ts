import { incompleteBeta } from "./_special_functions.ts";
import { checkLevel } from "./_check_values.ts";
import { normalQuantile } from "./normal_distribution.ts";
import { studentQuantile } from "./student_distribution.ts";

/** A straight line that a study should be able to see. */
export interface SlopeStudy {
  /** Slope worth seeing, other than 0: readings a unit of x. */
  readonly slope: number;
  /** Standard deviation of readings about the line, above 0. */
  readonly errorDeviation: number;
  /** Standard deviation of x over the trials, above 0. */
  readonly xDeviation: number;
}

export interface SlopeSampleSizeOptions {
  /** Two-sided error of the first kind, above 0 and below 1. Default 0.05. */
  readonly alpha?: number;
  /** Probability wanted to see the slope, above 0 and below 1. Default 0.8. */
  readonly power?: number;
}

/** How many trials it takes. */
export interface SlopeSampleSize {
  /** By the normal formula, not rounded. */
  readonly normal: number;
  /** Fewest trials by the noncentral t distribution, 3 or above. */
  readonly trials: number;
  /** Power reached with that many. */
  readonly power: number;
}

/**
 * Gives the power of a two-sided t test of a slope.
 *
 * @param study The line.
 * @param options Number of trials, 3 or above, and the error of the first kind.
 * @returns Probability to see the slope, alpha to 1.
 *
 * Source: the noncentral F distribution with 1 and n - 2 degrees of freedom and noncentrality n (slope xDeviation / errorDeviation)^2.
 * Throws RangeError for numbers outside their ranges.
 *
 * @example
 * ```ts
 * import { slopePower } from "overiron";
 * const power = slopePower({ slope: 0.5, errorDeviation: 2, xDeviation: 1.5 }, { trials: 58 });
 * if (power.toFixed(4) !== "0.8014") throw new Error("wrong");
 * ```
 */
export function slopePower(
  study: SlopeStudy,
  options: { readonly trials: number; readonly alpha?: number },
): number {
  const { trials, alpha = 0.05 } = options;
  checkStudy(study);
  checkLevel("give the power of a slope", alpha);
  if (!Number.isSafeInteger(trials) || trials < 3) {
    throw new RangeError(`Cannot give the power of a slope: need at least 3 trials, got ${trials}`);
  }
  const half = trials * (study.slope * study.xDeviation / study.errorDeviation) ** 2 / 2;
  const df = trials - 2, limit = studentQuantile(1 - alpha / 2, df) ** 2;
  const x = limit / (df + limit), y = df / (df + limit);
  // A Poisson mixture of beta probabilities, from its largest weight outwards.
  const centre = Math.floor(half);
  let missed = 0;
  const add = (j: number, weight: number): number => {
    const part = weight * incompleteBeta(0.5 + j, df / 2, x, y);
    missed += part;
    return part;
  };
  let logFactorial = 0;
  for (let j = 2; j <= centre; j++) logFactorial += Math.log(j);
  const top = Math.exp(-half + (centre > 0 ? centre * Math.log(half) : 0) - logFactorial);
  add(centre, top);
  for (let j = centre + 1, weight = top; weight > 1e-18; j++) add(j, weight *= half / j);
  for (let j = centre - 1, weight = top; j >= 0 && weight > 1e-18; j--) add(j, weight *= (j + 1) / half);
  return Math.min(1, Math.max(0, 1 - missed));
}

/**
 * Gives the number of trials that a straight-line study needs to see a slope.
 *
 * @param study The line.
 * @returns Numbers of trials by the normal formula and by the t test.
 *
 * Source: Dupont and Plummer (1998), Controlled Clinical Trials 19:589-601. Throws RangeError for numbers outside their ranges, or where more
 * than a million trials would be needed.
 *
 * @example
 * ```ts
 * import { slopeSampleSize } from "overiron";
 * if (slopeSampleSize({ slope: 0.5, errorDeviation: 2, xDeviation: 1.5 }).trials !== 58) throw new Error("wrong");
 * ```
 */
export function slopeSampleSize(study: SlopeStudy, options: SlopeSampleSizeOptions = {}): SlopeSampleSize {
  const { alpha = 0.05, power = 0.8 } = options;
  checkStudy(study);
  checkLevel("size a study", alpha);
  checkLevel("size a study", power);
  const z = normalQuantile(1 - alpha / 2) + normalQuantile(power);
  const normal = (z * study.errorDeviation / (study.slope * study.xDeviation)) ** 2;
  if (normal > 1e6) {
    throw new RangeError(`Cannot size a study: more than a million trials are needed, got ${normal}`);
  }
  const reached = (trials: number): number => slopePower(study, { trials, alpha });
  let low = 2, high = Math.max(3, Math.ceil(normal));
  while (reached(high) < power) [low, high] = [high, 2 * high];
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (reached(middle) >= power) high = middle;
    else low = middle;
  }
  return { normal, trials: high, power: reached(high) };
}

function checkStudy({ slope, errorDeviation, xDeviation }: SlopeStudy): void {
  if (!Number.isFinite(slope) || slope === 0) {
    throw new RangeError(`Cannot size a study: slope must be a number other than 0, got ${slope}`);
  }
  for (const [name, value] of Object.entries({ errorDeviation, xDeviation })) {
    if (!(value > 0 && Number.isFinite(value))) {
      throw new RangeError(`Cannot size a study: ${name} must be above 0, got ${value}`);
    }
  }
}
