/**
 * Cohen's kappa from the sums of a square table (k x k, row by row), or null where it does not exist: no count, or both
 * sides say one and the same thing. `linear` weighs a disagreement by the number of steps between the two
 * (Cohen 1968); else every disagreement counts the same (Cohen 1960).
 */
export function kappaOf(sums: ArrayLike<number>, k: number, weights: "equal" | "linear"): number | null {
  const rows = new Float64Array(k), columns = new Float64Array(k);
  let n = 0;
  for (let i = 0; i < k; i++) {
    for (let j = 0; j < k; j++) {
      const count = sums[i * k + j]!;
      rows[i]! += count;
      columns[j]! += count;
      n += count;
    }
  }
  if (n === 0) return null;
  let seen = 0, expected = 0;
  for (let i = 0; i < k; i++) {
    for (let j = 0; j < k; j++) {
      const weight = weights === "linear" ? Math.abs(i - j) : i === j ? 0 : 1;
      seen += weight * sums[i * k + j]! / n;
      expected += weight * rows[i]! * columns[j]! / (n * n);
    }
  }
  return expected > 0 ? 1 - seen / expected : null;
}
