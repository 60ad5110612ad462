/**
 * The linear algebra of a Levenberg-Marquardt step, after Moré (1978), "The Levenberg-Marquardt algorithm: implementation and theory",
 * Lecture Notes in Mathematics 630:105-116, and the public-domain MINPACK routines qrfac, qrsolv and lmpar.
 */

/** Householder QR of a matrix with its columns put in falling order of what is left of them. */
export interface PivotedQr {
  /** Upper triangle of order n, `r[row * n + column]`. */
  readonly r: Float64Array;
  /** Column k of the triangle is column `order[k]` of the matrix. */
  readonly order: readonly number[];
  /** The first n elements of Q' b. */
  readonly qtb: Float64Array;
  /** Norms of the columns of the matrix. */
  readonly norms: Float64Array;
}

export function norm(x: ArrayLike<number>): number {
  let largest = 0;
  for (let i = 0; i < x.length; i++) largest = Math.max(largest, Math.abs(x[i]!));
  if (largest === 0 || !Number.isFinite(largest)) return largest;
  let sum = 0;
  for (let i = 0; i < x.length; i++) sum += (x[i]! / largest) ** 2;
  return largest * Math.sqrt(sum);
}

/** QR of the m x n matrix `a[row * n + column]`, with Q' applied to b. */
export function pivotedQr(a: Float64Array, n: number, b: ArrayLike<number>): PivotedQr {
  const m = b.length;
  const columns = Array.from(
    { length: n },
    (_, j) => Float64Array.from({ length: m }, (_, i) => a[i * n + j]!),
  );
  const norms = Float64Array.from(columns, norm);
  const order = Array.from({ length: n }, (_, j) => j);
  const rest = Float64Array.from(b);
  const r = new Float64Array(n * n);
  for (let k = 0; k < Math.min(m, n); k++) {
    let best = k, most = -1;
    for (let j = k; j < n; j++) {
      const left = norm(columns[j]!.subarray(k));
      if (left > most) [best, most] = [j, left];
    }
    if (best !== k) {
      [columns[k], columns[best]] = [columns[best]!, columns[k]!];
      [order[k], order[best]] = [order[best]!, order[k]!];
      for (let row = 0; row < k; row++) {
        [r[row * n + k], r[row * n + best]] = [r[row * n + best]!, r[row * n + k]!];
      }
    }
    const v = columns[k]!;
    if (most === 0) continue;
    const length = v[k]! < 0 ? -most : most;
    for (let i = k; i < m; i++) v[i]! /= length;
    v[k]! += 1;
    const reflect = (x: Float64Array): void => {
      let sum = 0;
      for (let i = k; i < m; i++) sum += v[i]! * x[i]!;
      const factor = -sum / v[k]!;
      for (let i = k; i < m; i++) x[i]! += factor * v[i]!;
    };
    for (let j = k + 1; j < n; j++) {
      reflect(columns[j]!);
      r[k * n + j] = columns[j]![k]!;
    }
    reflect(rest);
    r[k * n + k] = -length;
  }
  return { r, order, qtb: rest.slice(0, n), norms };
}

/**
 * The x that minimises |A x - b|^2 + |D x|^2 given the QR of A, with the triangle S for which S'S = P'(A'A + D D)P.
 * `d` belongs to the columns of A in their own order.
 */
function solveDamped(qr: PivotedQr, d: Float64Array): { x: Float64Array; s: Float64Array } {
  const n = d.length;
  const s = qr.r.slice(), z = qr.qtb.slice();
  // Givens rotations take the diagonal in, one element after another.
  for (let j = 0; j < n; j++) {
    const row = new Float64Array(n);
    row[j] = d[qr.order[j]!]!;
    if (row[j] === 0) continue;
    let extra = 0;
    for (let k = j; k < n; k++) {
      if (row[k] === 0) continue;
      const pivot = s[k * n + k]!;
      const length = Math.hypot(pivot, row[k]!);
      const cos = pivot / length, sin = row[k]! / length;
      for (let l = k; l < n; l++) {
        const upper = s[k * n + l]!;
        s[k * n + l] = cos * upper + sin * row[l]!;
        row[l] = -sin * upper + cos * row[l]!;
      }
      const upper = z[k]!;
      z[k] = cos * upper + sin * extra;
      extra = -sin * upper + cos * extra;
    }
  }
  return { x: placed(backSolve(s, z), qr.order), s };
}

/** Solves an upper triangle, taking 0 for unknowns from the first vanishing pivot on. */
function backSolve(r: Float64Array, b: Float64Array): Float64Array {
  const n = b.length;
  const x = b.slice();
  let rank = n;
  for (let k = n - 1; k >= 0; k--) if (r[k * n + k] === 0) rank = k;
  x.fill(0, rank);
  for (let k = rank - 1; k >= 0; k--) {
    let sum = x[k]!;
    for (let l = k + 1; l < rank; l++) sum -= r[k * n + l]! * x[l]!;
    x[k] = sum / r[k * n + k]!;
  }
  return x;
}

/** The solution of S' w = v. */
function forwardSolve(s: Float64Array, v: Float64Array): Float64Array {
  const n = v.length;
  const w = v.slice();
  for (let j = 0; j < n; j++) {
    for (let k = 0; k < j; k++) w[j]! -= s[k * n + j]! * w[k]!;
    w[j]! /= s[j * n + j]!;
  }
  return w;
}

function placed(x: Float64Array, order: readonly number[]): Float64Array {
  const out = new Float64Array(x.length);
  order.forEach((j, k) => out[j] = x[k]!);
  return out;
}

/** The plain Gauss-Newton step: the x that minimises |A x - b|. */
export function gaussNewtonStep(qr: PivotedQr): Float64Array {
  return placed(backSolve(qr.r, qr.qtb), qr.order);
}

/** The damping `par` for which the step has scaled length `radius` within a tenth (0 where the plain step is short enough), and the step. */
export function levenbergStep(
  qr: PivotedQr,
  scale: Float64Array,
  radius: number,
  start: number,
): { step: Float64Array; par: number } {
  const n = scale.length;
  const scaled = (x: Float64Array) => x.map((value, j) => value * scale[j]!);
  let step = gaussNewtonStep(qr);
  let length = norm(scaled(step));
  let over = length - radius;
  if (over <= 0.1 * radius) return { step, par: 0 };
  const singular = Array.from({ length: n }, (_, k) => qr.r[k * n + k]!).some((pivot) => pivot === 0);
  const sorted = (x: Float64Array) => Float64Array.from(qr.order, (j) => x[j]!);
  let low = 0;
  if (!singular) {
    const w = forwardSolve(qr.r, sorted(scaled(scaled(step)).map((value) => value / length)));
    low = over / radius / norm(w) ** 2;
  }
  const gradient = Float64Array.from({ length: n }, (_, j) => {
    let sum = 0;
    for (let i = 0; i <= j; i++) sum += qr.r[i * n + j]! * qr.qtb[i]!;
    return sum / scale[qr.order[j]!]!;
  });
  const gradientLength = norm(gradient);
  let high = gradientLength / radius;
  if (high === 0) high = Number.MIN_VALUE / Math.min(radius, 0.1);
  let par = Math.min(Math.max(start, low), high);
  if (par === 0) par = gradientLength / length;
  for (let tries = 0; tries < 10; tries++) {
    if (par === 0) par = Math.max(2.3e-308, 0.001 * high);
    const root = Math.sqrt(par);
    const { x, s } = solveDamped(qr, scale.map((value) => root * value));
    step = x;
    length = norm(scaled(step));
    const before = over;
    over = length - radius;
    if (Math.abs(over) <= 0.1 * radius || (low === 0 && over <= before && before < 0)) break;
    const w = forwardSolve(s, sorted(scaled(scaled(step)).map((value) => value / length)));
    const correction = over / radius / norm(w) ** 2;
    if (over > 0) low = Math.max(low, par);
    else if (over < 0) high = Math.min(high, par);
    par = Math.max(low, par + correction);
  }
  return { step, par };
}
