import { margins } from "./_margins.ts";
import type { ConfusionMatrix } from "./confusion_matrix.ts";
import { absent } from "./estimate.ts";
import { isMeasured, type Measure, measured } from "./measure.ts";

/**
 * Gives for each class its F1 score, the harmonic mean of precision and recall.
 *
 * @param matrix Counts, truth by row.
 * @returns One measure a class, 0 to 1; absent for a class that neither was there nor was called. `n` counts its cases.
 *
 * Source: van Rijsbergen (1979), Information Retrieval, chapter 7, with beta = 1.
 *
 * @example
 * ```ts
 * import { confusionFromCounts, fScore, isMeasured } from "overiron";
 * const [iron] = fScore(confusionFromCounts([[8, 2], [2, 8]]));
 * if (!isMeasured(iron!) || iron.value !== 0.8) throw new Error("wrong");
 * ```
 */
export function fScore(matrix: ConfusionMatrix): Measure[] {
  const { rows, columns, diagonal } = margins(matrix);
  return diagonal.map((right, i) => {
    const both = rows[i]! + columns[i]!;
    if (both === 0) {
      return absent("undefined", `No case is ${matrix.labels[i]} or was called so`, { cases: 0 });
    }
    return measured(2 * right / both, { cases: rows[i]! });
  });
}

export interface MeanFScoreOptions {
  /** Whether classes weigh the same ("macro") or by their cases ("weighted"). Default "macro". */
  readonly average?: "macro" | "weighted";
}

/**
 * Gives the mean of the F1 scores of all classes.
 *
 * @param matrix Counts, truth by row.
 * @returns 0 to 1; absent when the score of a class is.
 *
 * @example
 * ```ts
 * import { confusionFromCounts, isMeasured, meanFScore } from "overiron";
 * const f = meanFScore(confusionFromCounts([[8, 2], [2, 8]]));
 * if (!isMeasured(f) || f.value !== 0.8) throw new Error("wrong");
 * ```
 */
export function meanFScore(matrix: ConfusionMatrix, options: MeanFScoreOptions = {}): Measure {
  const { average = "macro" } = options;
  const { rows } = margins(matrix);
  if (matrix.n === 0) return absent("no cases", "There is no case", { cases: 0 });
  let sum = 0;
  for (const [i, score] of fScore(matrix).entries()) {
    if (!isMeasured(score)) return absent("undefined", score.reason, { cases: matrix.n });
    sum += score.value * (average === "macro" ? 1 / rows.length : rows[i]! / matrix.n);
  }
  return measured(sum, { cases: matrix.n });
}
