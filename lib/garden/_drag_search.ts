import type { DragData } from "./_drag_data.ts";
import { addSums, type DragSums, emptySums, type Theta } from "./_drag_sums.ts";

export interface DragSearchOptions {
  /** One a point. */
  readonly weights: Float64Array;
  /** Which elements of theta move; the others stay. */
  readonly free: readonly number[];
  /** How often each block counts. Default: once. */
  readonly blockWeights?: Float64Array | undefined;
  readonly maxSteps?: number;
}

export interface DragSearch {
  readonly theta: Theta;
  readonly sums: DragSums;
  /** Whether one more Gauss-Newton step would move nothing by more than a thousandth of its standard error. */
  readonly settled: boolean;
}

/** Solves the free part of a symmetric system (upper triangle given) with its diagonal raised by a share; null where it is not definite. */
function solve(
  normal: Float64Array,
  right: Float64Array,
  free: readonly number[],
  damping: number,
): Float64Array | null {
  const width = right.length, n = free.length;
  const factor = new Float64Array(n * n), out = new Float64Array(n);
  for (let a = 0; a < n; a++) {
    const diagonal = normal[free[a]! * width + free[a]!]!;
    for (let b = 0; b <= a; b++) {
      const [i, j] = free[a]! < free[b]! ? [free[a]!, free[b]!] : [free[b]!, free[a]!];
      let sum = normal[i * width + j]! * (a === b ? 1 + damping : 1);
      for (let k = 0; k < b; k++) sum -= factor[a * n + k]! * factor[b * n + k]!;
      if (a === b) {
        if (!(sum > 1e-10 * diagonal)) return null;
        factor[a * n + a] = Math.sqrt(sum);
      } else factor[a * n + b] = sum / factor[b * n + b]!;
    }
    let sum = right[free[a]!]!;
    for (let k = 0; k < a; k++) sum -= factor[a * n + k]! * out[k]!;
    out[a] = sum / factor[a * n + a]!;
  }
  for (let a = n - 1; a >= 0; a--) {
    let sum = out[a]!;
    for (let k = a + 1; k < n; k++) sum -= factor[k * n + a]! * out[k]!;
    out[a] = sum / factor[a * n + a]!;
  }
  return out;
}

/**
 * Least squares over q, log s and f with the readings alone at their best for each (Levenberg 1944 and Marquardt 1963, damping on the
 * diagonal). The fit is checked against the plain one of `leastSquaresFit`, which carries every reading alone as a parameter.
 */
export function searchDrag(data: DragData, start: Theta, options: DragSearchOptions): DragSearch {
  const { weights, free, blockWeights, maxSteps = 60 } = options;
  let theta = start.slice(), sums = emptySums(data), next = emptySums(data);
  addSums(data, theta, sums, { weights, slopes: true, blockWeights });
  let damping = 1e-3, settled = false;
  for (let step = 0; step < maxSteps; step++) {
    const plain = solve(sums.normal, sums.gradient, free, 0);
    settled = plain !== null && small(plain, sums, data, free);
    if (settled && step > 0 && stillness(plain!, sums, data, free) < 1e-7) break;
    const move = solve(sums.normal, sums.gradient, free, damping);
    if (move === null) {
      damping = Math.max(damping * 10, 1e-6);
      if (damping > 1e8) break;
      continue;
    }
    const to = theta.slice();
    free.forEach((place, k) => to[place]! += move[k]!);
    addSums(data, to, next, { weights, slopes: true, blockWeights });
    if (next.squares <= sums.squares) {
      const flat = sums.squares - next.squares <= 1e-15 * sums.squares;
      theta = to;
      [sums, next] = [next, sums];
      damping = damping < 1e-9 ? 0 : damping / 20;
      if (flat) {
        const last = solve(sums.normal, sums.gradient, free, 0);
        settled = last !== null && small(last, sums, data, free);
        break;
      }
    } else {
      if (settled && next.squares <= sums.squares * (1 + 1e-13)) break;
      damping = Math.max(damping * 8, 1e-6);
      if (damping > 1e8) break;
    }
  }
  return { theta, sums, settled: settled && theta.every(Number.isFinite) };
}

/** The longest step, in standard errors. */
function stillness(step: Float64Array, sums: DragSums, data: DragData, free: readonly number[]): number {
  const width = data.pairs + 2;
  const variance = sums.squares / Math.max(1, data.x2.length - free.length);
  let most = 0;
  for (let a = 0; a < free.length; a++) {
    const column = new Float64Array(width);
    column[free[a]!] = 1;
    const inverse = solve(sums.normal, column, free, 0);
    const error = inverse === null ? 0 : Math.sqrt(variance * inverse[a]!);
    most = Math.max(most, step[a] === 0 ? 0 : Math.abs(step[a]!) / error);
  }
  return most;
}

/** No step longer than a thousandth of a standard error, or than 1e-8 of what it changes (where the curve goes through every point). */
function small(step: Float64Array, sums: DragSums, data: DragData, free: readonly number[]): boolean {
  if (stillness(step, sums, data, free) <= 1e-3) return true;
  return step.every((value) => Math.abs(value) <= 1e-8);
}
