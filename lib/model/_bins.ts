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
  const sorted = presentOf(column).sort();
  const ends = endsOf(sorted), distinct = Float64Array.from(ends, (end) => sorted[end - 1]! + 0);
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
  const low64 = Float64Array.from(low), high64 = Float64Array.from(high);
  return {
    codes: codesOf(column, high64),
    count: low.length,
    low: low64,
    high: high64,
    anyMissing: sorted.length < column.length,
    exact: distinct.length <= MOST_BINS,
  };
}

/** Where each distinct value of a sorted list ends. */
function endsOf(sorted: Float64Array): Int32Array {
  const ends = new Int32Array(sorted.length);
  let count = 0;
  for (let i = 1; i <= sorted.length; i++) {
    if (i === sorted.length || sorted[i] !== sorted[i - 1]) ends[count++] = i;
  }
  return ends.subarray(0, count);
}

function presentOf(column: Float64Array): Float64Array {
  const present = new Float64Array(column.length);
  let count = 0;
  for (let i = 0; i < column.length; i++) {
    const value = column[i]!;
    if (value === value) present[count++] = value;
  }
  return present.subarray(0, count);
}

function codesOf(column: Float64Array, high: Float64Array): Uint8Array {
  const codes = new Uint8Array(column.length);
  for (let i = 0; i < column.length; i++) codes[i] = codeOf(column[i]!, high);
  return codes;
}

/** The first bin whose highest value is not below; a small function, called often, is compiled soon. */
function codeOf(value: number, high: Float64Array): number {
  if (value !== value) return MISSING_BIN;
  let a = 0, b = high.length - 1;
  while (a < b) {
    const middle = (a + b) >> 1;
    if (value <= high[middle]!) b = middle;
    else a = middle + 1;
  }
  return a;
}
