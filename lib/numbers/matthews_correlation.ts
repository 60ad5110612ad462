import { margins } from "./_margins.ts";
import type { ConfusionMatrix } from "./confusion_matrix.ts";
import { absent } from "./estimate.ts";
import { type Measure, measured } from "./measure.ts";

/**
 * Gives the correlation between what cases are and what they were called: Matthews' coefficient, and for more than two
 * classes its generalisation R_K.
 *
 * @param matrix Counts, truth by row.
 * @returns Up to 1 for no error, 0 for a rule that tells nothing, down to -1 with two classes; absent where all cases are of one class
 * or all were called the same. For an interval, resample with `bootstrapByCluster`.
 *
 * Sources: Matthews (1975), Biochimica et Biophysica Acta 405:442-451; Gorodkin (2004), Computational Biology and Chemistry 28:367-374.
 *
 * @example
 * ```ts
 * import { confusionFromCounts, isMeasured, matthewsCorrelation } from "overiron";
 * const r = matthewsCorrelation(confusionFromCounts([[3, 1], [1, 3]]));
 * if (!isMeasured(r) || Math.abs(r.value - 0.5) > 1e-12) throw new Error("wrong");
 * ```
 */
export function matthewsCorrelation(matrix: ConfusionMatrix): Measure {
  const { rows, columns, diagonal } = margins(matrix);
  const s = matrix.n;
  const dot = (a: number[], b: number[]) => a.reduce((sum, x, i) => sum + x * b[i]!, 0);
  const truth = s * s - dot(rows, rows), called = s * s - dot(columns, columns);
  const n = { cases: s };
  if (truth === 0) return absent("undefined", "All cases are of one class", n);
  if (called === 0) return absent("undefined", "All cases were called the same", n);
  const right = diagonal.reduce((sum, count) => sum + count, 0);
  return measured((right * s - dot(rows, columns)) / (Math.sqrt(truth) * Math.sqrt(called)), n);
}
