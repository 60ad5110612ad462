import { margins } from "./_margins.ts";
import type { ConfusionMatrix } from "./confusion_matrix.ts";
import type { Estimate } from "./estimate.ts";
import { shareEstimate, type ShareEstimateOptions } from "./share_estimate.ts";

/**
 * Gives the share of cases called what they are.
 *
 * @param matrix Counts, truth by row.
 * @returns 0 to 1 with Wilson's interval, which takes the cases as independent; absent without cases.
 *
 * With unequal classes a rule that always says the commonest one scores high here: read `balancedAccuracy` beside it.
 *
 * @example
 * ```ts
 * import { accuracy, confusionFromCounts, isPresent } from "overiron";
 * const share = accuracy(confusionFromCounts([[8, 2], [1, 9]]));
 * if (!isPresent(share) || share.value !== 0.85) throw new Error("wrong");
 * ```
 */
export function accuracy(matrix: ConfusionMatrix, options: ShareEstimateOptions = {}): Estimate {
  return shareEstimate(margins(matrix).diagonal.reduce((sum, count) => sum + count, 0), matrix.n, options);
}
