import { type Absent, absent, chiSquaredTail } from "../numbers/mod.ts";

/** Bowker's test of symmetry. */
export interface SymmetryTest {
  readonly chiSquared: number;
  /** Pairs of cells across the diagonal that hold a count. */
  readonly degreesOfFreedom: number;
  readonly p: number;
  /** Counts off the diagonal. */
  readonly disagreements: number;
  /** Counts above the diagonal (the column stands after the row), and below it. */
  readonly above: number;
  readonly below: number;
}

/**
 * Tests whether a square table of counts is symmetric: whether moves from band to band go as often one way as the other.
 *
 * `counts` is k by k, rows and columns in one order. Pairs of cells without a count add no degree of freedom. The counts are
 * taken as independent, and the chi-squared law is rough where a pair holds fewer than about ten. With two bands it is
 * McNemar's test without correction. Bowker (1948), JASA 43:572-574.
 *
 * Returns an absence where nothing lies off the diagonal. Throws RangeError for a table that is not square or holds
 * anything but whole numbers of 0 or above.
 *
 * @example
 * ```ts
 * import { symmetryTest } from "overiron";
 * const test = symmetryTest([[794, 150], [86, 570]]);
 * if ("absent" in test || test.chiSquared.toFixed(2) !== "17.36") throw new Error("wrong");
 * ```
 */
export function symmetryTest(counts: readonly (readonly number[])[]): SymmetryTest | Absent {
  const k = counts.length;
  if (counts.some((row) => row.length !== k)) {
    throw new RangeError(`Cannot test symmetry: need a square table, got ${k} rows`);
  }
  const bad = counts.flat().find((count) => !(Number.isSafeInteger(count) && count >= 0));
  if (bad !== undefined) {
    throw new RangeError(`Cannot test symmetry: counts are whole numbers of 0 or above, got ${bad}`);
  }
  let chiSquared = 0, degreesOfFreedom = 0, above = 0, below = 0;
  for (let i = 0; i < k; i++) {
    for (let j = i + 1; j < k; j++) {
      const a = counts[i]![j]!, b = counts[j]![i]!;
      above += a;
      below += b;
      if (a + b === 0) continue;
      chiSquared += (a - b) ** 2 / (a + b);
      degreesOfFreedom++;
    }
  }
  if (degreesOfFreedom === 0) {
    return absent("no moves", "Nothing lies off the diagonal", {
      counts: counts.flat().reduce((sum, count) => sum + count, 0),
    });
  }
  return {
    chiSquared,
    degreesOfFreedom,
    p: chiSquaredTail(chiSquared, degreesOfFreedom),
    disagreements: above + below,
    above,
    below,
  };
}
