import { Matrix } from "ml-matrix";
import { clusterCovariance } from "./_cluster_covariance.ts";
import { type DragData, dragData, type DragPoint } from "./_drag_data.ts";
import { searchDrag } from "./_drag_search.ts";
import { dragAt, type DragSums, projectedRows, scaleAt, type Theta } from "./_drag_sums.ts";

export type { DragPoint } from "./_drag_data.ts";
export { dragAt } from "./_drag_sums.ts";

/** A point with what the fit made of its controls: drag and what lies between the two readings alone. */
export interface FittedPoint {
  readonly x2: number;
  readonly z2: number;
  readonly drag: number;
  readonly apart: number;
  readonly pair: number;
  readonly block: number;
}

/** Least-squares fit of logit(drag) = (q - x^2/w)/s, w = 1 + f z2, over the pairs of one target. */
export interface DragFit {
  readonly q: readonly number[];
  readonly s: number;
  /** Change of w^2 per cm2 of depth squared, relative to the reference depth; 0 where depth does not vary. */
  readonly f: number;
  readonly converged: boolean;
  /** Cluster-robust (CR2) covariance of q_1..q_J, log s and f; 0 for what was held; null where it does not exist. */
  readonly covariance: readonly (readonly number[])[] | null;
  /** Satterthwaite's degrees of freedom of each q; 0 where it was held. */
  readonly degreesOfFreedom: readonly number[];
  readonly residualSd: number;
  /** In the order of the points given. */
  readonly points: readonly FittedPoint[];
  /** What a further search starts from: the data in order, theta and weights at the end. */
  readonly data: DragData;
  readonly theta: Theta;
  readonly weights: Float64Array;
  /** The elements of theta that were fitted. */
  readonly free: readonly number[];
}

export interface DragFitOptions {
  /** How strongly points near one half count beside those near 0 or 1, as a power of 4 p (1 - p). Default `focusPower`. */
  readonly focus?: number;
  /** Where the search begins. Default: a grid. */
  readonly start?: Theta;
  /** Whether covariance and degrees of freedom are worked out. Default true. */
  readonly covariance?: boolean;
}

/** The points of one pair added up by distance: squares of a fit p are w p^2 - 2 d p plus a constant. */
function sumsByDistance(points: readonly DragPoint[], pair: number): { x2: number; w: number; d: number }[] {
  const sums = new Map<number, { x2: number; w: number; d: number }>();
  for (const { x2, reading, clean, alone, pair: own } of points) {
    if (own !== pair) continue;
    const sum = sums.get(x2) ?? { x2, w: 0, d: 0 };
    const apart = clean - alone;
    sum.w += apart * apart;
    sum.d += apart * (clean - reading);
    sums.set(x2, sum);
  }
  return [...sums.values()];
}

/** A grid of slopes; for each the best q of every pair by a grid too: a start that no local minimum can spoil. */
export function gridStart(points: readonly DragPoint[], pairs: number): Theta {
  let low = Infinity, high = -Infinity;
  for (const { x2 } of points) {
    if (x2 < low) low = x2;
    if (x2 > high) high = x2;
  }
  const range = Math.max(high - low, 1e-6);
  const sums = Array.from({ length: pairs }, (_, pair) => sumsByDistance(points, pair));
  const best = new Float64Array(pairs + 2);
  let least = Infinity;
  for (let step = 0; step < 12; step++) {
    const s = range * 2 ** (1 - 0.75 * step);
    const q: number[] = [];
    let sum = 0;
    for (const own of sums) {
      let ownLeast = Infinity, ownQ = low;
      for (let k = 0; k <= 40; k++) {
        const value = low - 6 * s + (high - low + 12 * s) * k / 40;
        let squares = 0;
        for (const { x2, w, d } of own) {
          const p = dragAt((value - x2) / s);
          squares += p * (w * p - 2 * d);
        }
        if (squares < ownLeast) [ownLeast, ownQ] = [squares, value];
      }
      q.push(ownQ);
      sum += ownLeast;
    }
    if (sum < least) {
      least = sum;
      best.set(q);
      best[pairs] = Math.log(s);
    }
  }
  return best;
}

/** How far from the distances laid, in slopes, the grid's q must lie for a pair to count as flat: drags under 0.06 or over 0.94 all along. */
const flatSlopes = 2.75;
/**
 * Points far from one half say little about where one half lies, and there the physics is not logistic: in noiseless gardens of it a power of 2 and a least weight of 0.02 leave q
 * 0.46 cm2 too low, 4 and 0.1 leave 0.19 cm2; with noise the error of q as a whole is 9 % smaller than with those.
 */
export const focusPower = 4;
/** The weights follow the curve this often. */
const weightRounds = 2;
/** No trial counts less than this beside one at one half. */
const leastWeight = 0.1;

/**
 * Degrees of freedom of a pair's t: blocks minus 1, but Satterthwaite's number where that is less than half of it, because few of the blocks
 * carry the pair.
 */
export function degreesOf(fit: Pick<DragFit, "degreesOfFreedom">, pair: number, blocks: number): number {
  const satterthwaite = fit.degreesOfFreedom[pair] ?? 0;
  return satterthwaite > 0 && satterthwaite < (blocks - 1) / 2 ? Math.max(1, satterthwaite) : blocks - 1;
}

export function focusWeights(sums: DragSums, focus: number): Float64Array {
  return sums.drag.map((p) => Math.max(leastWeight, (4 * p * (1 - p)) ** focus));
}

/**
 * Fits the curve to the readings: a start from a grid, then least squares over all q, log s and f, every reading alone fitted along. Points near one
 * half count most: there the form holds best, and there the half gap lies. Where the search does not settle because some pairs are flat (all
 * drags near 0 or near 1, so that q may be anything beyond), those are held at the grid's value and the others fitted without them.
 */
export function fitDragPoints(
  points: readonly DragPoint[],
  pairs: number,
  options: DragFitOptions = {},
): DragFit {
  const data = dragData(points, pairs);
  const start = options.start ?? gridStart(points, pairs);
  const all = Array.from({ length: pairs }, (_, j) => j);
  const whole = fitFree(data, start, { ...options, moving: all });
  if (whole.converged) return inOrder(whole, points);
  const s = Math.exp(start[pairs]!);
  const free = all.filter((j) => {
    const x2 = points.filter((point) => point.pair === j).map((point) => point.x2);
    const q = start[j]!;
    return q > Math.min(...x2) - flatSlopes * s && q < Math.max(...x2) + flatSlopes * s;
  });
  if (free.length === 0 || free.length === pairs) return inOrder(whole, points);
  const kept = points.filter((point) => free.includes(point.pair));
  const part = fitFree(dragData(kept, pairs), start, { ...options, moving: free });
  if (!part.converged) return inOrder(part, points);
  return inOrder(part, points);
}

/** Points as given, with the readings alone of the fit where it used them. */
function inOrder(
  fit: Omit<DragFit, "points"> & { readonly sums: DragSums },
  points: readonly DragPoint[],
): DragFit {
  const { sums, ...rest } = fit;
  const at = new Map<DragPoint, FittedPoint>();
  for (let cell = 0; cell + 1 < fit.data.cellStart.length; cell++) {
    for (let i = fit.data.cellStart[cell]!; i < fit.data.cellStart[cell + 1]!; i++) {
      const point = fit.data.points[i]!;
      at.set(point, fitted(point, sums.clean[cell]!, sums.alone[fit.data.slot[i]!]!));
    }
  }
  return { ...rest, points: points.map((point) => at.get(point) ?? fitted(point, point.clean, point.alone)) };
}

const fitted = ({ x2, z2, pair, block, reading }: DragPoint, clean: number, alone: number): FittedPoint => ({
  x2,
  z2,
  pair,
  block,
  apart: clean - alone,
  drag: (clean - reading) / (clean - alone),
});

/** Least squares over the moving pairs' q, log s and, where depth varies, f. */
function fitFree(
  data: DragData,
  start: Theta,
  options: DragFitOptions & { readonly moving: readonly number[] },
): Omit<DragFit, "points"> & { readonly sums: DragSums } {
  const { focus = focusPower, moving, covariance: wanted = true } = options;
  const { pairs } = data;
  const free = [...moving, pairs, ...(data.depthVaries ? [pairs + 1] : [])];
  let weights: Float64Array = new Float64Array(data.x2.length).fill(1);
  let found = searchDrag(data, start, { weights, free });
  for (let round = 0; focus > 0 && found.settled && round < weightRounds; round++) {
    weights = focusWeights(found.sums, focus);
    found = searchDrag(data, found.theta, { weights, free });
  }
  const { theta, sums, settled } = found;
  const base = {
    q: [...theta.subarray(0, pairs)],
    s: Math.exp(theta[pairs]!),
    f: theta[pairs + 1]!,
    data,
    theta,
    weights,
    free,
    sums,
  };
  if (!settled) {
    return {
      ...base,
      q: [...start.subarray(0, pairs)],
      s: Math.exp(start[pairs]!),
      f: 0,
      converged: false,
      covariance: null,
      degreesOfFreedom: new Array<number>(pairs).fill(0),
      residualSd: 0,
    };
  }
  const rows = wanted ? projectedRows(data, theta, sums, weights) : [];
  const narrow = !wanted ? null : clusterCovariance(
    rows.map((row) => row.block),
    rows.map((row) => row.residual),
    new Matrix(rows.map((row) => free.map((place) => row.derivatives[place]!))),
  );
  const covariance = narrow === null
    ? null
    : Array.from({ length: pairs + 2 }, () => new Array<number>(pairs + 2).fill(0));
  const degreesOfFreedom = new Array<number>(pairs).fill(0);
  if (covariance !== null) {
    narrow!.covariance.forEach((row, a) =>
      row.forEach((value, b) => covariance[free[a]!]![free[b]!] = value)
    );
    free.forEach((place, a) => {
      if (place < pairs) degreesOfFreedom[place] = narrow!.degreesOfFreedom[a]!;
    });
  }
  let squares = 0;
  for (let i = 0; i < data.x2.length; i++) {
    const point = data.points[i]!;
    squares += ((point.clean - point.reading) - sums.drag[i]! * (point.clean - point.alone)) ** 2;
  }
  const left = Math.max(1, data.x2.length - free.length);
  return { ...base, converged: true, covariance, degreesOfFreedom, residualSd: Math.sqrt(squares / left) };
}

/**
 * The value of q, above or below the fitted one, at which a t test over blocks first refuses it, slope and depth factor as fitted: the
 * block's scores (derivative times residual) have mean 0 at the true q. Null when even the end of the range is not refused.
 */
export function scoreLimit(
  points: readonly FittedPoint[],
  fit: Pick<DragFit, "s" | "f">,
  options: { readonly from: number; readonly to: number; readonly t: number },
): number | null {
  const { from, to, t } = options;
  const blocks = [...new Set(points.map((point) => point.block))];
  const refused = (q: number): boolean => {
    const scores = blocks.map((block) => {
      let sum = 0;
      for (const point of points) {
        if (point.block !== block) continue;
        const p = dragAt((q - point.x2 / scaleAt(fit.f, point.z2)) / fit.s);
        sum += p * (1 - p) * (p - point.drag) * point.apart ** 2;
      }
      return sum;
    });
    const mean = scores.reduce((a, b) => a + b, 0) / scores.length;
    const variance = scores.reduce((a, b) => a + (b - mean) ** 2, 0) / (scores.length - 1);
    const signed = to > from ? mean : -mean;
    return signed > t * Math.sqrt(variance / scores.length);
  };
  const steps = 400;
  for (let k = 1; k <= steps; k++) {
    let outside = from + (to - from) * k / steps;
    if (!refused(outside)) continue;
    let inside = from + (to - from) * (k - 1) / steps;
    for (let i = 0; i < 40; i++) {
      const middle = (inside + outside) / 2;
      if (refused(middle)) outside = middle;
      else inside = middle;
    }
    return outside;
  }
  return null;
}
