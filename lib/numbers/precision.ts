import { margins } from "./_margins.ts";
import type { ConfusionMatrix } from "./confusion_matrix.ts";
import type { Estimate } from "./estimate.ts";
import { shareEstimate, type ShareEstimateOptions } from "./share_estimate.ts";

/**
 * Gives for each class the share of the cases called by its name that are of it (its precision; with two classes the positive
 * and the negative predictive value).
 *
 * @param matrix Counts, truth by row.
 * @returns One estimate a class in the order of the labels, 0 to 1 with Wilson's interval; absent for a name never called.
 *
 * @example
 * ```ts
 * import { confusionFromCounts, isPresent, precision } from "overiron";
 * const [iron] = precision(confusionFromCounts([[8, 2], [2, 8]]));
 * if (!isPresent(iron!) || iron.value !== 0.8) throw new Error("wrong");
 * ```
 */
export function precision(matrix: ConfusionMatrix, options: ShareEstimateOptions = {}): Estimate[] {
  const { columns, diagonal } = margins(matrix);
  return diagonal.map((right, i) => shareEstimate(right, columns[i]!, options));
}
