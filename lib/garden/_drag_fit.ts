import { Matrix } from "ml-matrix";
import { leastSquaresFit } from "../numbers/mod.ts";
import { clusterCovariance } from "./_cluster_covariance.ts";

/** One trial and direction as the fit sees it. */
export interface DragPoint {
  /** Distance between centres, or the gap alone, squared, in cm2. */
  readonly x2: number;
  /** Depth squared less the reference depth squared, in cm2; 0 where depth does not vary. */
  readonly z2: number;
  readonly drag: number;
  /** Clean reading minus the neighbour's: turns drag into reading units. */
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
  /** Cluster-robust (CR2) covariance of q_1..q_J, log s and, where depth varies, f; null where it does not exist. */
  readonly covariance: readonly (readonly number[])[] | null;
  readonly residualSd: number;
}

export const dragAt = (eta: number): number => 1 / (1 + Math.exp(-eta));

const scaleAt = (f: number, z2: number): number => Math.max(0.1, 1 + f * z2);

interface Parameters {
  readonly q: readonly number[];
  readonly logS: number;
  readonly f: number;
}

const etaOf = (point: DragPoint, { q, logS, f }: Parameters): number =>
  (q[point.pair]! - point.x2 / scaleAt(f, point.z2)) * Math.exp(-logS);

/** The points of one pair added up by distance: squares of a fit p are w p^2 - 2 d p plus a constant. */
function sumsByDistance(points: readonly DragPoint[], pair: number): { x2: number; w: number; d: number }[] {
  const sums = new Map<number, { x2: number; w: number; d: number }>();
  for (const { x2, drag, apart, pair: own } of points) {
    if (own !== pair) continue;
    const sum = sums.get(x2) ?? { x2, w: 0, d: 0 };
    sum.w += apart * apart;
    sum.d += apart * apart * drag;
    sums.set(x2, sum);
  }
  return [...sums.values()];
}

/** A grid of slopes; for each the best q of every pair by a grid too: a start that no local minimum can spoil. */
function gridStart(points: readonly DragPoint[], pairs: number): Parameters {
  const x2 = points.map((point) => point.x2);
  const low = Math.min(...x2), high = Math.max(...x2), range = Math.max(high - low, 1e-6);
  const sums = Array.from({ length: pairs }, (_, pair) => sumsByDistance(points, pair));
  let best: Parameters = { q: [], logS: 0, f: 0 }, least = Infinity;
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
    if (sum < least) [least, best] = [sum, { q, logS: Math.log(s), f: 0 }];
  }
  return best;
}

/** How far from the distances laid, in slopes, the grid's q must lie for a pair to count as flat: drags under 0.06 or over 0.94 all along. */
const flatSlopes = 2.75;

/**
 * Fits the curve to the readings: a start from a grid, then least squares over all q, log s and f. Where that does not settle because some pairs
 * are flat (all drags near 0 or near 1, so that q may be anything beyond), those are held at the grid's value and the others fitted without them.
 */
export function fitDragPoints(points: readonly DragPoint[], pairs: number): DragFit {
  const start = gridStart(points, pairs);
  const all = Array.from({ length: pairs }, (_, j) => j);
  const whole = fitFree(points, start, all);
  if (whole.converged) return whole;
  const s = Math.exp(start.logS);
  const free = all.filter((j) => {
    const x2 = points.filter((point) => point.pair === j).map((point) => point.x2);
    const q = start.q[j]!;
    return q > Math.min(...x2) - flatSlopes * s && q < Math.max(...x2) + flatSlopes * s;
  });
  return free.length === 0 || free.length === pairs ? whole : fitFree(points, start, free);
}

/** Least squares over the free pairs' q, log s and, where depth varies among their points, f. */
function fitFree(points: readonly DragPoint[], start: Parameters, free: readonly number[]): DragFit {
  const used = points.filter((point) => free.includes(point.pair));
  const depthVaries = new Set(used.map((point) => point.z2)).size > 1;
  const count = free.length, width = count + (depthVaries ? 2 : 1);
  const unpack = (values: ArrayLike<number>): Parameters => {
    const q = [...start.q];
    free.forEach((pair, j) => q[pair] = values[j]!);
    return { q, logS: values[count]!, f: depthVaries ? values[count + 1]! : 0 };
  };
  const residuals = (values: Float64Array): Float64Array => {
    const at = unpack(values);
    return Float64Array.from(used, (point) => (dragAt(etaOf(point, at)) - point.drag) * point.apart);
  };
  const jacobian = (values: Float64Array): Float64Array => {
    const at = unpack(values), s = Math.exp(at.logS), out = new Float64Array(used.length * width);
    used.forEach((point, i) => {
      const eta = etaOf(point, at), p = dragAt(eta), slope = p * (1 - p) * point.apart, row = i * width;
      out[row + free.indexOf(point.pair)] = slope / s;
      out[row + count] = -slope * eta;
      if (depthVaries) {
        const w = scaleAt(at.f, point.z2);
        out[row + count + 1] = slope * point.x2 * point.z2 / (w * w * s);
      }
    });
    return out;
  };
  const from = [...free.map((pair) => start.q[pair]!), start.logS, ...(depthVaries ? [0] : [])];
  const fit = leastSquaresFit(residuals, from, {
    jacobian,
    unit: "readings",
    maxEvaluations: 300,
    tolerance: 1e-11,
  });
  if (fit.status !== "converged") {
    return { q: start.q, s: Math.exp(start.logS), f: 0, converged: false, covariance: null, residualSd: 0 };
  }
  const { q, logS, f } = unpack(fit.parameters);
  const narrow = clusterCovariance(
    used.map((point) => point.block),
    fit.residuals,
    new Matrix(rowsOf(fit.jacobian, width)),
  );
  // Rows and columns of pairs that were held get variance 0, which stands for "not estimated".
  const place = (index: number): number => index < count ? free[index]! : start.q.length + index - count;
  const covariance = narrow === null
    ? null
    : Array.from({ length: start.q.length + width - count }, () =>
      new Array<number>(start.q.length + width - count).fill(0));
  if (covariance !== null) {
    narrow!.forEach((row, a) => row.forEach((value, b) => covariance[place(a)]![place(b)] = value));
  }
  return { q, s: Math.exp(logS), f, converged: true, covariance, residualSd: fit.residualStandardDeviation };
}

const rowsOf = (values: Float64Array, width: number): number[][] =>
  Array.from({ length: values.length / width }, (_, i) => [...values.subarray(i * width, (i + 1) * width)]);

/**
 * The value of q, above or below the fitted one, at which a t test over blocks first refuses it, slope and depth factor as fitted: the
 * block's scores (derivative times residual) have mean 0 at the true q. Null when even the end of the range is not refused.
 */
export function scoreLimit(
  points: readonly DragPoint[],
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
