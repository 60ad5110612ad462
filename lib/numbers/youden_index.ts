import { balancedAccuracy, type BalancedAccuracyOptions } from "./balanced_accuracy.ts";
import type { ConfusionMatrix } from "./confusion_matrix.ts";
import { type Estimate, isPresent, present } from "./estimate.ts";

/**
 * Gives Youden's J of a two-class matrix: sensitivity plus specificity less one.
 *
 * @param matrix Counts of two classes, truth by row.
 * @returns -1 to 1, 0 for a rule that tells nothing; absent when a class has no case. Interval as in `balancedAccuracy`.
 *
 * Source: Youden (1950), Cancer 3:32-35. Throws RangeError unless there are two classes.
 *
 * @example
 * ```ts
 * import { confusionFromCounts, isPresent, youdenIndex } from "overiron";
 * const j = youdenIndex(confusionFromCounts([[8, 2], [1, 4]]));
 * if (!isPresent(j) || Math.abs(j.value - 0.6) > 1e-12) throw new Error("wrong");
 * ```
 */
export function youdenIndex(matrix: ConfusionMatrix, options: BalancedAccuracyOptions = {}): Estimate {
  if (matrix.labels.length !== 2) {
    throw new RangeError(`Cannot give Youden's J: need two classes, got ${matrix.labels.length}`);
  }
  const half = balancedAccuracy(matrix, options);
  if (!isPresent(half)) return half;
  const { low, high, level, method } = half.interval;
  return present(2 * half.value - 1, { low: 2 * low - 1, high: 2 * high - 1, level, method }, half.n);
}
