/** A ridge multinomial logistic fit on a filled design. Classes are those met, the first the one compared with. */
export interface SoftmaxFit {
  readonly classes: readonly number[];
  /** (classes - 1) x (columns + 1) by row, the intercept first: log odds against the first class. */
  readonly coefficients: Float64Array;
  /** Inverse of the penalised information, square, in the order of `coefficients`. */
  readonly inverse: Float64Array;
  readonly iterations: number;
}

/** Cholesky factor of a symmetric positive definite matrix, in place in the lower half; false where it is none. */
function cholesky(matrix: Float64Array, m: number): boolean {
  for (let j = 0; j < m; j++) {
    for (let i = j; i < m; i++) {
      let sum = matrix[i * m + j]!;
      for (let k = 0; k < j; k++) sum -= matrix[i * m + k]! * matrix[j * m + k]!;
      if (i === j) {
        if (!(sum > 0)) return false;
        matrix[j * m + j] = Math.sqrt(sum);
      } else matrix[i * m + j] = sum / matrix[j * m + j]!;
    }
  }
  return true;
}

function solve(factor: Float64Array, m: number, right: Float64Array): Float64Array {
  const x = right.slice();
  for (let i = 0; i < m; i++) {
    let sum = x[i]!;
    for (let k = 0; k < i; k++) sum -= factor[i * m + k]! * x[k]!;
    x[i] = sum / factor[i * m + i]!;
  }
  for (let i = m - 1; i >= 0; i--) {
    let sum = x[i]!;
    for (let k = i + 1; k < m; k++) sum -= factor[k * m + i]! * x[k]!;
    x[i] = sum / factor[i * m + i]!;
  }
  return x;
}

/** Inner products of a column with each of some others, four at once: each number of the column is then read a quarter as often. */
function products(column: Float64Array, others: readonly Float64Array[], out: Float64Array): void {
  const n = column.length, last = others.length - 1;
  for (let l = 0; l <= last; l += 4) {
    const first = others[l]!, second = others[Math.min(last, l + 1)]!;
    const third = others[Math.min(last, l + 2)]!, fourth = others[Math.min(last, l + 3)]!;
    let a = 0, b = 0, c = 0, d = 0;
    for (let i = 0; i < n; i++) {
      const x = column[i]!;
      a += x * first[i]!;
      b += x * second[i]!;
      c += x * third[i]!;
      d += x * fourth[i]!;
    }
    // The last four may hold the last column more than once: the same sum, written again.
    out[Math.min(last, l + 3)] = d;
    out[Math.min(last, l + 2)] = c;
    out[Math.min(last, l + 1)] = b;
    out[l] = a;
  }
}

/** Class shares of a row of the design under the fit, in the order of `classes`. */
export function softmaxRow(
  coefficients: Float64Array,
  design: Float64Array,
  at: number,
  p: number,
  out: Float64Array,
): void {
  const K = out.length;
  let top = 0;
  out[0] = 0;
  for (let k = 1; k < K; k++) {
    const from = (k - 1) * (p + 1);
    let sum = coefficients[from]!;
    for (let j = 0; j < p; j++) sum += coefficients[from + 1 + j]! * design[at * p + j]!;
    out[k] = sum;
    if (sum > top) top = sum;
  }
  let all = 0;
  for (let k = 0; k < K; k++) {
    out[k] = Math.exp(out[k]! - top);
    all += out[k]!;
  }
  for (let k = 0; k < K; k++) out[k]! /= all;
}

/**
 * Fits by Newton's method with step halving. The penalty is lambda / 2 times the squared coefficients of the symmetric form
 * (one vector a class, summing to zero), so no class is favoured; intercepts are free. It makes the maximum finite even where
 * classes are parted cleanly. An intercept of a class met only with weight 0 cannot occur: such classes are left out.
 */
export function fitSoftmaxRidge(
  design: Float64Array,
  p: number,
  outcome: Uint8Array,
  options: {
    readonly weights: Float64Array;
    readonly lambda: number;
    /** Only the coefficients are wanted, from those of a like fit on where there is one: no inverse, and one more step once it is near. */
    readonly quick?: { readonly start?: Float64Array };
  },
): SoftmaxFit {
  const { weights, lambda, quick } = options;
  const n = outcome.length;
  const met = [0, 0, 0];
  for (let i = 0; i < n; i++) met[outcome[i]!]! += weights[i]!;
  const classes = [0, 1, 2].filter((code) => met[code]! > 0);
  const K = classes.length, q = p + 1, m = (K - 1) * q;
  const place = [0, 1, 2].map((code) => classes.indexOf(code));
  let beta = quick?.start?.slice() ?? new Float64Array(m);
  if (quick?.start === undefined) {
    for (let k = 1; k < K; k++) beta[(k - 1) * q] = Math.log(met[classes[k]!]! / met[classes[0]!]!);
  }

  const penalty = (at: Float64Array): number => {
    let sum = 0;
    for (let j = 1; j < q; j++) {
      let squares = 0, total = 0;
      for (let k = 0; k < K - 1; k++) {
        const b = at[k * q + j]!;
        squares += b * b;
        total += b;
      }
      sum += squares - total * total / K;
    }
    return lambda / 2 * sum;
  };
  // The design by columns, the intercept's among them, of the rows that weigh: sums over rows then run along memory.
  const kept = [...outcome.keys()].filter((i) => weights[i]! > 0), N = kept.length;
  const columns = Array.from({ length: q }, () => new Float64Array(N).fill(1));
  for (let j = 1; j < q; j++) {
    const column = columns[j]!;
    for (let i = 0; i < N; i++) column[i] = design[kept[i]! * p + j - 1]!;
  }
  const uptoThis = columns.map((_, j) => columns.slice(0, j + 1));
  const weight = Float64Array.from(kept, (i) => weights[i]!);
  const truth = Uint8Array.from(kept, (i) => place[outcome[i]!]!);
  /** Class shares of each row, a column a class, under the coefficients last asked about. */
  const shares = Array.from({ length: K }, () => new Float64Array(N));
  const objective = (at: Float64Array): number => {
    let sum = penalty(at);
    for (let k = 1; k < K; k++) {
      const line = shares[k]!.fill(at[(k - 1) * q]!);
      for (let j = 1; j < q; j++) {
        const b = at[(k - 1) * q + j]!, column = columns[j]!;
        for (let i = 0; i < N; i++) line[i]! += b * column[i]!;
      }
    }
    for (let i = 0; i < N; i++) {
      let top = 0, all = 0;
      for (let k = 1; k < K; k++) top = Math.max(top, shares[k]![i]!);
      shares[0]![i] = 0;
      for (let k = 0; k < K; k++) all += shares[k]![i] = Math.exp(shares[k]![i]! - top);
      for (let k = 0; k < K; k++) shares[k]![i]! /= all;
      sum -= weight[i]! * Math.log(Math.max(1e-300, shares[truth[i]!]![i]!));
    }
    return sum;
  };
  const along = new Float64Array(N), curve = new Float64Array(N);
  /** Of the coefficients that `objective` was last asked about. */
  const derivatives = (at: Float64Array): { gradient: Float64Array; hessian: Float64Array } => {
    const gradient = new Float64Array(m), hessian = new Float64Array(m * m);
    for (let a = 1; a < K; a++) {
      const share = shares[a]!;
      for (let i = 0; i < N; i++) along[i] = weight[i]! * (share[i]! - (truth[i] === a ? 1 : 0));
      products(along, columns, gradient.subarray((a - 1) * q, a * q));
      for (let b = 1; b <= a; b++) {
        const other = shares[b]!, same = a === b ? 1 : 0;
        for (let i = 0; i < N; i++) curve[i] = weight[i]! * share[i]! * (same - other[i]!);
        for (let j = 0; j < q; j++) {
          const column = columns[j]!;
          for (let i = 0; i < N; i++) along[i] = curve[i]! * column[i]!;
          const from = ((a - 1) * q + j) * m + (b - 1) * q;
          products(along, uptoThis[j]!, hessian.subarray(from, from + j + 1));
          // Each block is symmetric.
          for (let l = 0; l < j; l++) hessian[((a - 1) * q + l) * m + (b - 1) * q + j] = hessian[from + l]!;
        }
      }
    }
    for (let a = 0; a < K - 1; a++) {
      for (let b = 0; b <= a; b++) {
        const pull = lambda * ((a === b ? 1 : 0) - 1 / K);
        for (let j = 1; j < q; j++) {
          hessian[(a * q + j) * m + b * q + j]! += pull;
          gradient[a * q + j]! += pull * at[b * q + j]!;
          if (a !== b) gradient[b * q + j]! += pull * at[a * q + j]!;
        }
      }
    }
    return { gradient, hessian };
  };

  let value = objective(beta), iterations = 0;
  for (; iterations < 60; iterations++) {
    const { gradient, hessian } = derivatives(beta);
    if (!cholesky(hessian, m)) {
      throw new RangeError("Cannot fit logistic: the penalised information is not positive");
    }
    const step = solve(hessian, m, gradient);
    let slope = 0;
    for (let at = 0; at < m; at++) slope += step[at]! * gradient[at]!;
    if (slope < 1e-16 * (1 + Math.abs(value))) break;
    let scale = 1, next = beta, nextValue = Infinity;
    for (let half = 0; half < 30; half++, scale /= 2) {
      const tried = Float64Array.from(beta, (b, at) => b - scale * step[at]!);
      const found = objective(tried);
      if (found <= value) {
        [next, nextValue] = [tried, found];
        break;
      }
    }
    if (!(nextValue <= value)) break;
    beta = next;
    value = nextValue;
    // The error of a Newton step is of the order of the square of what was left before it.
    if (quick && slope < 1e-7) break;
  }
  if (quick) return { classes, coefficients: beta, inverse: new Float64Array(0), iterations };
  objective(beta); // a step that was tried last and not taken left its own shares
  const { hessian } = derivatives(beta);
  cholesky(hessian, m);
  const inverse = new Float64Array(m * m), unit = new Float64Array(m);
  for (let at = 0; at < m; at++) {
    unit.fill(0);
    unit[at] = 1;
    inverse.set(solve(hessian, m, unit), at * m);
  }
  return { classes, coefficients: beta, inverse, iterations };
}
