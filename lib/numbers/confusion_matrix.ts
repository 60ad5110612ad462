import { checkCount, checkSameLength } from "./_check_values.ts";

/** How often each class (row) was called each class (column). */
export interface ConfusionMatrix {
  /** Names of the classes, in the order of rows and columns. */
  readonly labels: readonly string[];
  /** `counts[truth][called]`. */
  readonly counts: readonly (readonly number[])[];
  /** Sum of all counts. */
  readonly n: number;
}

export interface ConfusionMatrixOptions {
  /** Names of the classes in the order wanted. Default: those met, sorted by code unit. */
  readonly labels?: readonly string[];
}

/**
 * Counts how often each true class was called each class.
 *
 * @param truth One class name a case.
 * @param called What each case was called, in the same order. Leave cases without a known truth out first, and say how many.
 * @returns The matrix, truth by row.
 *
 * Throws RangeError when the columns differ in length, a name is not among the labels, or a label stands twice.
 *
 * @example
 * ```ts
 * import { confusionMatrix } from "overiron";
 * const matrix = confusionMatrix(["nail", "disc", "disc"], ["nail", "nail", "disc"]);
 * if (matrix.labels[0] !== "disc" || matrix.counts[0]![1] !== 1) throw new Error("wrong");
 * ```
 */
export function confusionMatrix(
  truth: readonly string[],
  called: readonly string[],
  options: ConfusionMatrixOptions = {},
): ConfusionMatrix {
  const { labels = [...new Set([...truth, ...called])].sort() } = options;
  checkSameLength("count a confusion matrix", ["truth", "called"], [truth.length, called.length]);
  const place = new Map(labels.map((label, i) => [label, i]));
  if (place.size !== labels.length) {
    throw new RangeError(`Cannot count a confusion matrix: labels must differ, got ${labels.join(", ")}`);
  }
  const counts = labels.map(() => labels.map(() => 0));
  truth.forEach((label, i) => {
    const row = place.get(label), column = place.get(called[i]!);
    if (row === undefined || column === undefined) {
      const stranger = row === undefined ? label : called[i];
      throw new RangeError(
        `Cannot count a confusion matrix: every name must be one of ${labels.join(", ")}, got ${stranger}`,
      );
    }
    counts[row]![column]!++;
  });
  return { labels: [...labels], counts, n: truth.length };
}

/**
 * Makes a confusion matrix of counts that were made elsewhere.
 *
 * @param counts `counts[truth][called]`, square, whole numbers of 0 or above.
 * @param labels Names of the classes in the same order. Default "0", "1" and so on.
 *
 * Throws RangeError when the table is not square, a count is not such a number, or the labels do not fit.
 *
 * @example
 * ```ts
 * import { confusionFromCounts } from "overiron";
 * if (confusionFromCounts([[8, 2], [1, 9]], ["iron", "good"]).n !== 20) throw new Error("wrong");
 * ```
 */
export function confusionFromCounts(
  counts: readonly (readonly number[])[],
  labels: readonly string[] = counts.map((_, i) => String(i)),
): ConfusionMatrix {
  let n = 0;
  if (labels.length !== counts.length) {
    throw new RangeError(
      `Cannot make a confusion matrix: need a label for each of ${counts.length} rows, got ${labels.length}`,
    );
  }
  for (const row of counts) {
    if (row.length !== counts.length) {
      throw new RangeError(
        `Cannot make a confusion matrix: the table must be square, got ${counts.length} rows and ${row.length} columns`,
      );
    }
    for (const count of row) {
      checkCount("make a confusion matrix", "a count", count);
      n += count;
    }
  }
  return { labels: [...labels], counts: counts.map((row) => [...row]), n };
}
