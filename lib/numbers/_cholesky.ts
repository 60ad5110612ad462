/** A square matrix by rows. */
export type Square = Float64Array;

/**
 * The lower triangle L of L L' = A for a symmetric positive definite matrix of order n, or undefined where a pivot falls to
 * `least` times its diagonal or below.
 */
export function cholesky(a: Square, n: number, least = 0): Square | undefined {
  const l = new Float64Array(n * n);
  for (let j = 0; j < n; j++) {
    let pivot = a[j * n + j]!;
    for (let k = 0; k < j; k++) pivot -= l[j * n + k]! ** 2;
    if (!(pivot > least * Math.abs(a[j * n + j]!)) || !Number.isFinite(pivot)) return undefined;
    const root = Math.sqrt(pivot);
    l[j * n + j] = root;
    for (let i = j + 1; i < n; i++) {
      let sum = a[i * n + j]!;
      for (let k = 0; k < j; k++) sum -= l[i * n + k]! * l[j * n + k]!;
      l[i * n + j] = sum / root;
    }
  }
  return l;
}

/** The x of L L' x = b. */
export function solveCholesky(l: Square, b: ArrayLike<number>): Float64Array {
  const n = b.length;
  const x = Float64Array.from(b);
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) x[i]! -= l[i * n + k]! * x[k]!;
    x[i]! /= l[i * n + i]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) x[i]! -= l[k * n + i]! * x[k]!;
    x[i]! /= l[i * n + i]!;
  }
  return x;
}

/** The inverse of L L'. */
export function inverseCholesky(l: Square, n: number): Square {
  const out = new Float64Array(n * n);
  const unit = new Float64Array(n);
  for (let j = 0; j < n; j++) {
    unit.fill(0);
    unit[j] = 1;
    const column = solveCholesky(l, unit);
    for (let i = 0; i < n; i++) out[i * n + j] = column[i]!;
  }
  return out;
}
