/** Throws unless all columns have the length of the outcome and hold finite numbers. */
export function checkColumns(doing: string, columns: readonly ArrayLike<number>[], rows: number): void {
  columns.forEach((column, j) => {
    if (column.length !== rows) {
      throw new RangeError(
        `Cannot ${doing}: column ${j} must be as long as the outcome, ${rows}, got ${column.length}`,
      );
    }
    for (let i = 0; i < rows; i++) {
      if (typeof column[i] !== "number" || !Number.isFinite(column[i])) {
        throw new RangeError(
          `Cannot ${doing}: column ${j} must hold finite numbers, got ${column[i]} in row ${i}`,
        );
      }
    }
  });
}

/** Throws unless weights fit the rows and are finite numbers of 0 or above. */
export function checkWeights(doing: string, weights: ArrayLike<number> | undefined, rows: number): void {
  if (weights === undefined) return;
  if (weights.length !== rows) {
    throw new RangeError(`Cannot ${doing}: need one weight a row, ${rows}, got ${weights.length}`);
  }
  for (let i = 0; i < rows; i++) {
    if (!(weights[i]! >= 0 && Number.isFinite(weights[i]))) {
      throw new RangeError(`Cannot ${doing}: weights must be 0 or above, got ${weights[i]} in row ${i}`);
    }
  }
}

/** Throws unless a ridge is a finite number of 0 or above. */
export function checkRidge(doing: string, ridge: number): void {
  if (!(ridge >= 0 && Number.isFinite(ridge))) {
    throw new RangeError(`Cannot ${doing}: ridge must be 0 or above, got ${ridge}`);
  }
}
