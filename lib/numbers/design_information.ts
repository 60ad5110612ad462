import { cholesky, inverseCholesky } from "./_cholesky.ts";
import { checkValues } from "./_check_values.ts";
import { type Absent, absent } from "./estimate.ts";

/** One row a planned trial: how the reading answers to each parameter there (for a line: 1 and x). */
export type DesignRows = readonly ArrayLike<number>[];

/** X'X of the rows, and their number of columns. */
function information(rows: DesignRows): { gram: Float64Array; size: number } {
  const size = rows[0]?.length ?? 0;
  const gram = new Float64Array(size * size);
  for (const row of rows) {
    checkValues("judge a design", row);
    if (row.length !== size) {
      throw new RangeError(`Cannot judge a design: every row must have ${size} columns, got ${row.length}`);
    }
    for (let a = 0; a < size; a++) for (let b = 0; b < size; b++) gram[a * size + b]! += row[a]! * row[b]!;
  }
  return { gram, size };
}

/**
 * Gives the D-criterion of a design: how well planned trials tell all parameters, as a mean a trial and parameter.
 *
 * @param rows One row a trial, one column a parameter, finite.
 * @returns det(X'X / n)^(1/p): 0 where the trials cannot tell the parameters apart, the ratio of two designs being their relative
 * efficiency.
 *
 * Source: Atkinson and Donev (1992), Optimum Experimental Designs, chapters 10 and 11.
 * Throws RangeError for no rows, ragged rows or values that are not finite.
 *
 * @example
 * ```ts
 * import { dCriterion } from "overiron";
 * if (Math.abs(dCriterion([[1, -1], [1, 1]]) - 1) > 1e-12) throw new Error("wrong");
 * ```
 */
export function dCriterion(rows: DesignRows): number {
  if (rows.length === 0) throw new RangeError("Cannot judge a design: need at least 1 row, got 0");
  const { gram, size } = information(rows);
  const factor = cholesky(gram.map((value) => value / rows.length), size, 1e-14);
  if (factor === undefined) return 0;
  let logarithm = 0;
  for (let k = 0; k < size; k++) logarithm += 2 * Math.log(factor[k * size + k]!);
  return Math.exp(logarithm / size);
}

/**
 * Gives the covariance of the parameters that planned trials would bring, in units of the variance of one reading.
 *
 * @param rows One row a trial, one column a parameter, finite.
 * @returns The inverse of X'X; absent where the trials cannot tell the parameters apart.
 *
 * Throws RangeError for ragged rows or values that are not finite.
 *
 * @example
 * ```ts
 * import { designCovariance } from "overiron";
 * const covariance = designCovariance([[1, -1], [1, 1]]);
 * if ("absent" in covariance || Math.abs(covariance[1]![1]! - 0.5) > 1e-12) throw new Error("wrong");
 * ```
 */
export function designCovariance(rows: DesignRows): number[][] | Absent {
  const { gram, size } = information(rows);
  const factor = size === 0 ? undefined : cholesky(gram, size, 1e-14);
  if (factor === undefined) {
    return absent("singular", "The trials cannot tell the parameters apart", { trials: rows.length });
  }
  const inverse = inverseCholesky(factor, size);
  return Array.from({ length: size }, (_, a) => [...inverse.subarray(a * size, (a + 1) * size)]);
}

export interface ExchangeDesignOptions {
  /** Number of trials to plan; at least the number of parameters. */
  readonly trials: number;
  /** Trials that stand already and count, as rows. Default none. */
  readonly standing?: DesignRows;
  /** Most rounds of exchanges. Default 50. */
  readonly maxRounds?: number;
}

/**
 * Picks the trials among candidates that tell the parameters best (D-optimal), by exchanging one at a time until none gains.
 *
 * @param candidates One row a possible trial, one column a parameter, finite; each may be picked more than once.
 * @returns Indices of the candidates picked, rising; absent where no choice tells the parameters apart. Starts from a greedy choice, without
 * chance; like every exchange it can rest on a choice that is only locally best.
 *
 * Source: Fedorov (1972), Theory of Optimal Experiments.
 * Throws RangeError for too few trials, ragged rows or values that are not finite.
 *
 * @example
 * ```ts
 * import { exchangeDesign } from "overiron";
 * const line = [-1, -0.5, 0, 0.5, 1].map((x) => [1, x]);
 * const picked = exchangeDesign(line, { trials: 4 });
 * if ("absent" in picked || picked.join() !== "0,0,4,4") throw new Error("wrong");
 * ```
 */
export function exchangeDesign(candidates: DesignRows, options: ExchangeDesignOptions): number[] | Absent {
  const { trials, standing = [], maxRounds = 50 } = options;
  const size = candidates[0]?.length ?? 0;
  if (!Number.isSafeInteger(trials) || trials + standing.length < size || trials < 1) {
    throw new RangeError(
      `Cannot plan trials: need at least ${Math.max(1, size - standing.length)} trials, got ${trials}`,
    );
  }
  information(candidates);
  const base = information([...standing, ...candidates.slice(0, 1)]).gram;
  const first = candidates[0] ?? [];
  for (let a = 0; a < size; a++) for (let b = 0; b < size; b++) base[a * size + b]! -= first[a]! * first[b]!;
  // A little of every candidate lets the first greedy picks be compared before they tell all parameters.
  const whole = information(candidates).gram.map((value) => 1e-6 * value / candidates.length);
  const gram = base.map((value, at) => value + whole[at]!);
  const move = (index: number, by: number): void => {
    const row = candidates[index]!;
    for (let a = 0; a < size; a++) {
      for (let b = 0; b < size; b++) gram[a * size + b]! += by * row[a]! * row[b]!;
    }
  };
  /** The candidate whose addition raises the determinant most. */
  const best = (): { index: number; gain: number } | undefined => {
    const factor = cholesky(gram, size, 1e-14);
    if (factor === undefined) return undefined;
    const inverse = inverseCholesky(factor, size);
    let index = 0, gain = -1;
    candidates.forEach((row, i) => {
      const worth = quadratic(inverse, row);
      if (worth > gain * (1 + 1e-12)) [index, gain] = [i, worth];
    });
    return { index, gain };
  };
  const picked: number[] = [];
  const none = () => absent("singular", "No choice of trials tells the parameters apart", { trials });
  for (let k = 0; k < trials; k++) {
    const next = best();
    if (next === undefined) return none();
    picked.push(next.index);
    move(next.index, 1);
  }
  whole.forEach((value, at) => gram[at]! -= value);
  for (let round = 0; round < maxRounds; round++) {
    let changed = false;
    for (let k = 0; k < trials; k++) {
      // Taking one out may leave the rest singular, so that a trace is kept while looking.
      move(picked[k]!, -1);
      whole.forEach((value, at) => gram[at]! += value);
      const next = best();
      const factor = cholesky(gram, size, 1e-14);
      const held = factor && quadratic(inverseCholesky(factor, size), candidates[picked[k]!]!);
      whole.forEach((value, at) => gram[at]! -= value);
      if (next && held !== undefined && next.gain > held * (1 + 1e-9)) {
        picked[k] = next.index;
        changed = true;
      }
      move(picked[k]!, 1);
    }
    if (!changed) break;
  }
  if (dCriterion([...standing, ...picked.map((i) => candidates[i]!)]) === 0) return none();
  return picked.sort((a, b) => a - b);
}

function quadratic(matrix: Float64Array, row: ArrayLike<number>): number {
  const size = row.length;
  let sum = 0;
  for (let a = 0; a < size; a++) {
    for (let b = 0; b < size; b++) sum += row[a]! * matrix[a * size + b]! * row[b]!;
  }
  return sum;
}
