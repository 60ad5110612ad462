import type { ConfusionMatrix } from "./confusion_matrix.ts";

/** Row sums, column sums and diagonal of a confusion matrix. */
export function margins(matrix: ConfusionMatrix): { rows: number[]; columns: number[]; diagonal: number[] } {
  const rows = matrix.counts.map((row) => row.reduce((sum, count) => sum + count, 0));
  const columns = matrix.labels.map((_, j) => matrix.counts.reduce((sum, row) => sum + row[j]!, 0));
  return { rows, columns, diagonal: matrix.labels.map((_, i) => matrix.counts[i]![i]!) };
}
