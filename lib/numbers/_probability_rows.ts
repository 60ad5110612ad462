/** Class probabilities: one row a case, or all rows after one another in one array. */
export type ProbabilityRows = readonly ArrayLike<number>[] | Float64Array;

/** Which cases to score. */
export interface ScoreOptions {
  /** Number of classes; needed where the probabilities are one flat array. Default: the length of the first row. */
  readonly classes?: number;
  /** Indices of the cases to score, repeats allowed. Default: every case once. */
  readonly rows?: ArrayLike<number>;
}

/**
 * Calls `visit` with the probabilities and the outcome of each case to be scored, and returns how many there were.
 * Throws RangeError for rows that are not probabilities or outcomes that are no class.
 */
export function visitCases(
  probabilities: ProbabilityRows,
  outcome: ArrayLike<number>,
  options: ScoreOptions,
  visit: (p: ArrayLike<number>, y: number) => void,
): number {
  const flat = probabilities instanceof Float64Array;
  const classes = options.classes ?? (flat ? NaN : probabilities[0]?.length ?? 0);
  if (flat && !(classes >= 2)) {
    throw new RangeError(
      `Cannot score: the number of classes must be given with one flat array, got ${classes}`,
    );
  }
  const cases = flat ? probabilities.length / classes : probabilities.length;
  if (cases !== outcome.length) {
    throw new RangeError(`Cannot score: need one outcome a row, got ${outcome.length} for ${cases} rows`);
  }
  const count = options.rows?.length ?? cases;
  for (let k = 0; k < count; k++) {
    const i = options.rows?.[k] ?? k;
    if (!(i >= 0 && i < cases)) throw new RangeError(`Cannot score: no case has the index ${i}`);
    const p = flat ? probabilities.subarray(i * classes, (i + 1) * classes) : probabilities[i]!;
    const y = outcome[i]!;
    let sum = 0;
    for (let c = 0; c < p.length; c++) {
      if (!(p[c]! >= 0 && p[c]! <= 1 + 1e-9)) {
        throw new RangeError(`Cannot score: probabilities must be from 0 to 1, got ${p[c]} in row ${i}`);
      }
      sum += p[c]!;
    }
    if (p.length !== classes || Math.abs(sum - 1) > 1e-6) {
      throw new RangeError(
        `Cannot score: a row must hold ${classes} probabilities that add up to 1, got ${sum} in row ${i}`,
      );
    }
    if (!Number.isInteger(y) || y < 0 || y >= classes) {
      throw new RangeError(
        `Cannot score: an outcome must be a class from 0 to ${classes - 1}, got ${y} in row ${i}`,
      );
    }
    visit(p, y);
  }
  return count;
}
