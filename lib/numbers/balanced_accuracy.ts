import { margins } from "./_margins.ts";
import type { ConfusionMatrix } from "./confusion_matrix.ts";
import { absent, type Estimate, present } from "./estimate.ts";
import { wilsonInterval } from "./wilson_interval.ts";

export interface BalancedAccuracyOptions {
  /** Level, above 0 and below 1. Default 0.95. */
  readonly level?: number;
  /** Name of the unit counted. Default "cases". */
  readonly unit?: string;
}

/**
 * Gives the mean of the recalls of all classes, so that a rare class weighs as much as a common one.
 *
 * @param matrix Counts, truth by row.
 * @returns 0 to 1; a guess without looking gives one over the number of classes. Absent when a class has no case. The interval adds
 * the distances to the Wilson limits of each recall in squares (Zou and Donner 2008, Statistics in Medicine 27:1693-1702; with
 * two classes method 10 of Newcombe 1998, 17:873-890) and takes the cases as independent.
 *
 * Source: Brodersen et al. (2010), 20th International Conference on Pattern Recognition, 3121-3124; each class equally weighted.
 *
 * @example
 * ```ts
 * import { balancedAccuracy, confusionFromCounts, isPresent } from "overiron";
 * const share = balancedAccuracy(confusionFromCounts([[8, 2], [1, 4]]));
 * if (!isPresent(share) || share.value !== 0.8) throw new Error("wrong");
 * ```
 */
export function balancedAccuracy(matrix: ConfusionMatrix, options: BalancedAccuracyOptions = {}): Estimate {
  const { level = 0.95, unit = "cases" } = options;
  const { rows, diagonal } = margins(matrix);
  const n = { [unit]: matrix.n };
  const empty = matrix.labels.filter((_, i) => rows[i] === 0);
  if (rows.length === 0) return absent("no cases", "There is no class", n);
  if (empty.length > 0) {
    return absent("undefined", `No case of ${empty.join(", ")}, so that its recall does not exist`, n);
  }
  const share = 1 / rows.length;
  let value = 0, below = 0, above = 0;
  rows.forEach((row, i) => {
    const { low, high } = wilsonInterval(diagonal[i]!, row, { level });
    const recall = diagonal[i]! / row;
    value += share * recall;
    below += (share * (recall - low)) ** 2;
    above += (share * (high - recall)) ** 2;
  });
  const low = Math.max(0, value - Math.sqrt(below)), high = Math.min(1, value + Math.sqrt(above));
  return present(value, { low, high, level, method: "square-and-add of Wilson limits" }, n);
}
