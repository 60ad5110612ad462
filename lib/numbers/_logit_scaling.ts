import { cholesky, type Square } from "./_cholesky.ts";

/** Columns at mean 0 and deviation 1 behind a column of ones, by rows. Rows of weight 0 take no part in the scaling. */
export function scaled(columns: readonly ArrayLike<number>[], totals: Float64Array) {
  const rows = totals.length, width = columns.length + 1;
  const design = new Float64Array(rows * width);
  const centres: number[] = [], scales: number[] = [];
  const weight = totals.reduce((sum, x) => sum + x, 0);
  for (let i = 0; i < rows; i++) design[i * width] = 1;
  columns.forEach((column, j) => {
    let centre = 0, square = 0;
    for (let i = 0; i < rows; i++) centre += totals[i]! * column[i]! / weight;
    for (let i = 0; i < rows; i++) square += totals[i]! * (column[i]! - centre) ** 2 / weight;
    const spread = Math.sqrt(square);
    const scale = spread > 1e-12 * Math.abs(centre) && spread > 0 ? spread : 1;
    for (let i = 0; i < rows; i++) {
      design[i * width + j + 1] = scale === 1 && spread < 1e-12 * Math.max(1, Math.abs(centre))
        ? 0
        : (column[i]! - centre) / scale;
    }
    centres.push(centre);
    scales.push(scale);
  });
  return { design, centres, scales };
}

/** Whether the weighted columns are linearly independent. */
export function independent(design: Float64Array, totals: Float64Array, width: number): boolean {
  const gram = new Float64Array(width * width);
  for (let i = 0; i < totals.length; i++) {
    for (let j = 0; j < width; j++) {
      for (let l = 0; l < width; l++) {
        gram[j * width + l]! += totals[i]! * design[i * width + j]! * design[i * width + l]!;
      }
    }
  }
  return cholesky(gram, width, 1e-10) !== undefined;
}

/** Coefficients and covariance in the units of the columns. */
export function unscaled(
  theta: Float64Array,
  covariance: Square,
  centres: number[],
  scales: number[],
  classes: number,
) {
  const width = centres.length + 1, size = (classes - 1) * width;
  // Parameters in column units are T times those inside, with T the same for each class.
  const turn = new Float64Array(width * width);
  turn[0] = 1;
  centres.forEach((centre, j) => {
    turn[j + 1] = -centre / scales[j]!;
    turn[(j + 1) * width + j + 1] = 1 / scales[j]!;
  });
  const entry = (r: number, c: number): number => {
    const [a, i] = [Math.floor(r / width), r % width], [b, j] = [Math.floor(c / width), c % width];
    let sum = 0;
    for (let k = 0; k < width; k++) {
      if (turn[i * width + k] === 0) continue;
      for (let l = 0; l < width; l++) {
        if (turn[j * width + l] === 0) continue;
        sum += turn[i * width + k]! * covariance[(a * width + k) * size + b * width + l]! *
          turn[j * width + l]!;
      }
    }
    return sum;
  };
  const out = new Float64Array(size * size);
  for (let r = 0; r < size; r++) for (let c = 0; c < size; c++) out[r * size + c] = entry(r, c);
  const coefficients = Array.from({ length: classes - 1 }, (_, a) =>
    Array.from({ length: width }, (_, i) => {
      let sum = 0;
      for (let k = 0; k < width; k++) sum += turn[i * width + k]! * theta[a * width + k]!;
      return sum;
    }));
  return { coefficients, covariance: out };
}
