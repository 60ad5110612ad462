import { margins } from "./_margins.ts";
import type { ConfusionMatrix } from "./confusion_matrix.ts";
import type { Estimate } from "./estimate.ts";
import { shareEstimate, type ShareEstimateOptions } from "./share_estimate.ts";

/**
 * Gives for each class the share of its cases that were called by its name (its recall; with two classes the sensitivity and
 * the specificity).
 *
 * @param matrix Counts, truth by row.
 * @returns One estimate a class in the order of the labels, 0 to 1 with Wilson's interval; absent for a class without a case.
 *
 * @example
 * ```ts
 * import { confusionFromCounts, isPresent, recall } from "overiron";
 * const [iron, good] = recall(confusionFromCounts([[8, 2], [0, 0]]));
 * if (!isPresent(iron!) || iron.value !== 0.8 || isPresent(good!)) throw new Error("wrong");
 * ```
 */
export function recall(matrix: ConfusionMatrix, options: ShareEstimateOptions = {}): Estimate[] {
  const { rows, diagonal } = margins(matrix);
  return diagonal.map((right, i) => shareEstimate(right, rows[i]!, options));
}
