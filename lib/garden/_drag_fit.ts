import { EigenvalueDecomposition, inverse, Matrix } from "ml-matrix";

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

function sumOfSquares(points: readonly DragPoint[], at: Parameters): number {
  let sum = 0;
  for (const point of points) sum += ((dragAt(etaOf(point, at)) - point.drag) * point.apart) ** 2;
  return sum;
}

/** Residuals and their derivatives by q_1..q_J, log s and f. */
function linearise(points: readonly DragPoint[], at: Parameters, depthVaries: boolean) {
  const pairs = at.q.length, width = pairs + (depthVaries ? 2 : 1), s = Math.exp(at.logS);
  const jacobian = Matrix.zeros(points.length, width);
  const residuals = points.map((point, i) => {
    const eta = etaOf(point, at), p = dragAt(eta), slope = p * (1 - p) * point.apart;
    jacobian.set(i, point.pair, slope / s);
    jacobian.set(i, pairs, -slope * eta);
    if (depthVaries) {
      const w = scaleAt(at.f, point.z2);
      jacobian.set(i, pairs + 1, slope * point.x2 * point.z2 / (w * w * s));
    }
    return (p - point.drag) * point.apart;
  });
  return { residuals, jacobian };
}

/** A grid of slopes; for each the best q of every pair by a grid too: a start that no local minimum can spoil. */
function gridStart(points: readonly DragPoint[], pairs: number): Parameters {
  const x2 = points.map((point) => point.x2);
  const low = Math.min(...x2), high = Math.max(...x2), range = Math.max(high - low, 1e-6);
  let best: Parameters = { q: [], logS: 0, f: 0 }, least = Infinity;
  for (let step = 0; step < 12; step++) {
    const s = range * 2 ** (1 - 0.75 * step);
    const q: number[] = [];
    let sum = 0;
    for (let pair = 0; pair < pairs; pair++) {
      const own = points.filter((point) => point.pair === pair);
      let ownLeast = Infinity, ownQ = low;
      for (let k = 0; k <= 40; k++) {
        const value = low - 6 * s + (high - low + 12 * s) * k / 40;
        let squares = 0;
        for (const point of own) {
          squares += ((dragAt((value - point.x2) / s) - point.drag) * point.apart) ** 2;
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

/**
 * Fits the curve to the readings by damped least squares (Levenberg 1944, Marquardt 1963). q stays within eight slopes of the distances
 * laid, where the drag is 0 or 1 to three decimals: beyond that the data say nothing.
 */
export function fitDragPoints(points: readonly DragPoint[], pairs: number): DragFit {
  const depthVaries = new Set(points.map((point) => point.z2)).size > 1;
  const x2 = points.map((point) => point.x2);
  const low = Math.min(...x2), high = Math.max(...x2), range = Math.max(high - low, 1e-6);
  const keep = ({ q, logS, f }: Parameters): Parameters => {
    const bounded = Math.min(Math.max(logS, Math.log(range) - 9), Math.log(range) + 4);
    const s = Math.exp(bounded);
    return { q: q.map((each) => Math.min(Math.max(each, low - 8 * s), high + 8 * s)), logS: bounded, f };
  };
  let at = gridStart(points, pairs), sum = sumOfSquares(points, at), damping = 1e-3, converged = false;
  for (let iteration = 0; iteration < 200 && !converged; iteration++) {
    const { residuals, jacobian } = linearise(points, at, depthVaries);
    const normal = jacobian.transpose().mmul(jacobian);
    const gradient = jacobian.transpose().mmul(Matrix.columnVector(residuals));
    const floor = 1e-12 * Math.max(...normal.diag(), 1e-300);
    let moved = false;
    for (let tries = 0; tries < 30 && !moved; tries++) {
      const damped = normal.clone();
      for (let k = 0; k < damped.rows; k++) damped.set(k, k, normal.get(k, k) * (1 + damping) + floor);
      const step = inverse(damped).mmul(gradient).to1DArray();
      const next = keep({
        q: at.q.map((q, j) => q - step[j]!),
        logS: at.logS - step[pairs]!,
        f: depthVaries ? at.f - step[pairs + 1]! : 0,
      });
      const nextSum = sumOfSquares(points, next);
      if (nextSum <= sum) {
        converged = sum - nextSum <= 1e-12 * sum + 1e-300;
        [at, sum, moved] = [next, nextSum, true];
        damping = Math.max(damping / 5, 1e-12);
      } else damping = Math.min(damping * 4, 1e12);
    }
    if (!moved) converged = true;
  }
  const width = pairs + (depthVaries ? 2 : 1);
  return {
    q: at.q,
    s: Math.exp(at.logS),
    f: at.f,
    converged: converged && Math.exp(at.logS) < range * Math.exp(3.9),
    covariance: clusterCovariance(points, linearise(points, at, depthVaries)),
    residualSd: Math.sqrt(sum / Math.max(1, points.length - width)),
  };
}

/**
 * Covariance robust to anything that points of one block share, with the correction CR2 (Bell and McCaffrey 2002, Survey Methodology
 * 28:169-181): residuals of a block are multiplied by (I - H)^(-1/2), H the block's part of the hat matrix, before they are squared.
 */
function clusterCovariance(
  points: readonly DragPoint[],
  { residuals, jacobian }: { residuals: readonly number[]; jacobian: Matrix },
): number[][] | null {
  const width = jacobian.columns;
  const normal = jacobian.transpose().mmul(jacobian);
  const scale = normal.diag().map((value) => value > 0 ? 1 / Math.sqrt(value) : 0);
  if (scale.includes(0)) return null;
  const scaling = Matrix.diag(scale);
  const eigen = new EigenvalueDecomposition(scaling.mmul(normal).mmul(scaling), { assumeSymmetric: true });
  if (Math.min(...eigen.realEigenvalues) < 1e-9) return null;
  // root * root' = inverse of the normal matrix.
  const root = scaling.mmul(eigen.eigenvectorMatrix).mmul(
    Matrix.diag(eigen.realEigenvalues.map((value) => 1 / Math.sqrt(value))),
  );
  const meat = Matrix.zeros(width, width);
  const blocks = [...new Set(points.map((point) => point.block))];
  for (const block of blocks) {
    const rows = points.flatMap((point, i) => point.block === block ? [i] : []);
    const part = new Matrix(rows.map((i) => jacobian.getRow(i))).mmul(root);
    const inner = new EigenvalueDecomposition(part.transpose().mmul(part), { assumeSymmetric: true });
    // (I - B B')^(-1/2) e = e + B V diag(((1 - l)^(-1/2) - 1) / l) V' B' e, so B' of it is V diag((1 - l)^(-1/2)) V' B' e.
    const factors = inner.realEigenvalues.map((value) =>
      value > 1 - 1e-8 ? 0 : 1 / Math.sqrt(1 - Math.max(value, 0))
    );
    const score = part.transpose().mmul(Matrix.columnVector(rows.map((i) => residuals[i]!)));
    const corrected = inner.eigenvectorMatrix.mmul(Matrix.diag(factors)).mmul(
      inner.eigenvectorMatrix.transpose(),
    )
      .mmul(score);
    meat.add(corrected.mmul(corrected.transpose()));
  }
  return root.mmul(meat).mmul(root.transpose()).to2DArray();
}

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
