/** A feature cut into at most 255 bins: `codes` a row (255 = missing), `low` and `high` the values a bin spans. */
export interface BinnedFeature {
  readonly codes: Uint8Array;
  readonly count: number;
  readonly low: Float64Array;
  readonly high: Float64Array;
  readonly anyMissing: boolean;
  /** Whether every bin holds one distinct value. */
  readonly exact: boolean;
}

export const MISSING_BIN = 255;
const MOST_BINS = 255;

/** Bins a column (NaN = missing): one bin a distinct value up to 255 of them, else bins of about equal counts. */
export function binFeature(column: Float64Array): BinnedFeature {
  const n = column.length;
  const sorted = column.filter((value) => !Number.isNaN(value)).sort();
  const distinct: number[] = [], ends: number[] = [];
  for (let i = 0; i < sorted.length; i++) {
    if (i + 1 === sorted.length || sorted[i + 1]! !== sorted[i]!) {
      distinct.push(sorted[i]! + 0);
      ends.push(i + 1);
    }
  }
  const low: number[] = [], high: number[] = [];
  if (distinct.length <= MOST_BINS) {
    low.push(...distinct);
    high.push(...distinct);
  } else {
    const perBin = sorted.length / MOST_BINS;
    let from = 0;
    for (let d = 0; d < distinct.length; d++) {
      const last = d + 1 === distinct.length;
      if (last || ends[d]! >= perBin * (low.length + 1)) {
        low.push(distinct[from]!);
        high.push(distinct[d]!);
        from = d + 1;
      }
    }
  }
  const codes = new Uint8Array(n);
  let anyMissing = false;
  for (let i = 0; i < n; i++) {
    const value = column[i]!;
    if (Number.isNaN(value)) {
      codes[i] = MISSING_BIN;
      anyMissing = true;
      continue;
    }
    let a = 0, b = high.length - 1;
    while (a < b) {
      const middle = (a + b) >> 1;
      if (value <= high[middle]!) b = middle;
      else a = middle + 1;
    }
    codes[i] = a;
  }
  return {
    codes,
    count: low.length,
    low: Float64Array.from(low),
    high: Float64Array.from(high),
    anyMissing,
    exact: distinct.length <= MOST_BINS,
  };
}
