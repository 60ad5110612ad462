import { MISSING_BIN } from "./_bins.ts";

// The hot loops of the quick grower, small functions on typed arrays so that they are compiled early and stay compiled.
// Its entries hold a row, how often it was drawn and its class: row << 10 | times << 2 | class; its histogram four numbers a
// bin: three class sums, and whether the bin was met.

/** Nodes of at most so many entries sort the bins as they meet them. */
const FEW = 16;
const touched = new Int32Array(8);

/** Adds a node's entries to the histogram and lists the bins met, rising; gives how many. */
export function binsMet(
  entries: Int32Array,
  from: number,
  to: number,
  codes: Uint8Array,
  binCount: number,
  histogram: Int32Array,
  bins: Uint8Array,
): number {
  let met = 0;
  if (to - from <= FEW) {
    for (let r = from; r < to; r++) {
      const entry = entries[r]!, code = codes[entry >>> 10]!, at = code << 2;
      histogram[at + (entry & 3)]! += entry >> 2 & 255;
      if (histogram[at + 3] === 0) {
        histogram[at + 3] = 1;
        let place = met++;
        for (; place > 0 && bins[place - 1]! > code; place--) bins[place] = bins[place - 1]!;
        bins[place] = code;
      }
    }
    return met;
  }
  if ((to - from) * 2 < binCount) {
    for (let r = from; r < to; r++) {
      const entry = entries[r]!, code = codes[entry >>> 10]!;
      touched[code >> 5]! |= 1 << (code & 31);
      histogram[(code << 2) + (entry & 3)]! += entry >> 2 & 255;
    }
    for (let word = 0; word < 8; word++) {
      let bits = touched[word]!;
      touched[word] = 0;
      while (bits !== 0) {
        const lowest = bits & -bits;
        bits ^= lowest;
        bins[met++] = (word << 5) + 31 - Math.clz32(lowest);
      }
    }
    return met;
  }
  for (let r = from; r < to; r++) {
    const entry = entries[r]!;
    histogram[(codes[entry >>> 10]! << 2) + (entry & 3)]! += entry >> 2 & 255;
  }
  return binsOfAll(binCount, histogram, bins);
}

/** Adds a node's entries to the histograms of two features in one go, which takes less than once for each. */
export function addPair(
  entries: Int32Array,
  from: number,
  to: number,
  codes: Uint8Array,
  histogram: Int32Array,
  otherCodes: Uint8Array,
  otherHistogram: Int32Array,
): void {
  for (let r = from; r < to; r++) {
    const entry = entries[r]!, row = entry >>> 10, code = entry & 3, times = entry >> 2 & 255;
    histogram[(codes[row]! << 2) + code]! += times;
    otherHistogram[(otherCodes[row]! << 2) + code]! += times;
  }
}

/** Lists the bins met by a look at every one; gives how many. */
export function binsOfAll(binCount: number, histogram: Int32Array, bins: Uint8Array): number {
  let met = 0;
  for (let bin = 0, at = 0; bin < binCount; bin++, at += 4) {
    if ((histogram[at]! | histogram[at + 1]! | histogram[at + 2]!) !== 0) bins[met++] = bin;
  }
  const at = MISSING_BIN << 2;
  if ((histogram[at]! | histogram[at + 1]! | histogram[at + 2]!) !== 0) bins[met++] = MISSING_BIN;
  return met;
}

/**
 * Looks for a split better than the best so far among the bins met, and empties the histogram. `best` holds the score to beat;
 * `found` becomes the bin to the left of the split, the next bin to its right, whether missing goes left, and the class sums of the left side.
 */
export function scanBins(
  histogram: Int32Array,
  bins: Uint8Array,
  met: number,
  t0: number,
  t1: number,
  t2: number,
  leastLeaf: number,
  best: Float64Array,
  found: Int32Array,
): boolean {
  if (met > 0 && bins[met - 1] === MISSING_BIN) {
    return scanWithMissing(histogram, bins, met - 1, t0, t1, t2, leastLeaf, best, found);
  }
  const all = t0 + t1 + t2;
  let beat = best[0]!, at = -1;
  let l0 = 0, l1 = 0, l2 = 0, leftAll = 0, b0 = 0, b1 = 0, b2 = 0;
  for (let b = 0; b < met; b++) {
    const place = bins[b]! << 2, right = all - leftAll;
    if (leftAll >= leastLeaf && right >= leastLeaf && b > 0) {
      const r0 = t0 - l0, r1 = t1 - l1, r2 = t2 - l2;
      const score = (l0 * l0 + l1 * l1 + l2 * l2) * right + (r0 * r0 + r1 * r1 + r2 * r2) * leftAll;
      const over = leftAll * right;
      if (score > beat * over) {
        beat = score / over;
        at = b;
        b0 = l0;
        b1 = l1;
        b2 = l2;
      }
    }
    l0 += histogram[place]!;
    l1 += histogram[place + 1]!;
    l2 += histogram[place + 2]!;
    leftAll = l0 + l1 + l2;
    histogram[place] = 0;
    histogram[place + 1] = 0;
    histogram[place + 2] = 0;
    histogram[place + 3] = 0;
  }
  if (at < 0) return false;
  best[0] = beat;
  found[0] = bins[at - 1]!;
  found[1] = bins[at]!;
  found[2] = 2 * (b0 + b1 + b2) >= all ? 1 : 0;
  found[3] = b0;
  found[4] = b1;
  found[5] = b2;
  return true;
}

/** The same where some are missing: they may go to either side, or be a side of their own. */
function scanWithMissing(
  histogram: Int32Array,
  bins: Uint8Array,
  met: number,
  t0: number,
  t1: number,
  t2: number,
  leastLeaf: number,
  best: Float64Array,
  found: Int32Array,
): boolean {
  const gone = MISSING_BIN << 2;
  const m0 = histogram[gone]!, m1 = histogram[gone + 1]!, m2 = histogram[gone + 2]!;
  histogram.fill(0, gone, gone + 4);
  const missing = m0 + m1 + m2, present = t0 + t1 + t2 - missing;
  let beat = best[0]!, at = -1, side = 0;
  let l0 = 0, l1 = 0, l2 = 0, leftAll = 0, b0 = 0, b1 = 0, b2 = 0;
  for (let b = 0; b < met; b++) {
    const place = bins[b]! << 2, right = present - leftAll;
    if (b > 0 && leftAll >= leastLeaf && right + missing >= leastLeaf) {
      const r0 = t0 - l0, r1 = t1 - l1, r2 = t2 - l2, other = right + missing;
      const score = (l0 * l0 + l1 * l1 + l2 * l2) * other + (r0 * r0 + r1 * r1 + r2 * r2) * leftAll;
      const over = leftAll * other;
      if (score > beat * over) {
        beat = score / over;
        at = b;
        side = 0;
        b0 = l0;
        b1 = l1;
        b2 = l2;
      }
    }
    if (b > 0 && leftAll + missing >= leastLeaf && right >= leastLeaf) {
      const k0 = l0 + m0, k1 = l1 + m1, k2 = l2 + m2, r0 = t0 - k0, r1 = t1 - k1, r2 = t2 - k2;
      const one = leftAll + missing;
      const score = (k0 * k0 + k1 * k1 + k2 * k2) * right + (r0 * r0 + r1 * r1 + r2 * r2) * one;
      const over = one * right;
      if (score > beat * over) {
        beat = score / over;
        at = b;
        side = 1;
        b0 = k0;
        b1 = k1;
        b2 = k2;
      }
    }
    l0 += histogram[place]!;
    l1 += histogram[place + 1]!;
    l2 += histogram[place + 2]!;
    leftAll = l0 + l1 + l2;
    histogram[place] = 0;
    histogram[place + 1] = 0;
    histogram[place + 2] = 0;
    histogram[place + 3] = 0;
  }
  if (missing >= leastLeaf && present >= leastLeaf) {
    const k0 = t0 - m0, k1 = t1 - m1, k2 = t2 - m2;
    const score = (k0 * k0 + k1 * k1 + k2 * k2) * missing + (m0 * m0 + m1 * m1 + m2 * m2) * present;
    const over = present * missing;
    if (score > beat * over) {
      beat = score / over;
      at = met;
      side = 0;
      b0 = k0;
      b1 = k1;
      b2 = k2;
    }
  }
  if (at < 0) return false;
  best[0] = beat;
  found[0] = at === met ? MISSING_BIN - 1 : bins[at - 1]!;
  found[1] = bins[at]!;
  found[2] = side;
  found[3] = b0;
  found[4] = b1;
  found[5] = b2;
  return true;
}

/** Puts the entries that go left before the others, each side in the order it had; gives where the right side begins. */
export function partEntries(
  entries: Int32Array,
  scratch: Int32Array,
  from: number,
  to: number,
  codes: Uint8Array,
  bin: number,
  missingLeft: number,
): number {
  let l = from, r = 0;
  // Both sides are written and one place moves on: which one cannot be foretold, so a jump would cost more.
  for (let at = from; at < to; at++) {
    const entry = entries[at]!, code = codes[entry >>> 10]!;
    const goesLeft = (code - bin - 1 >>> 31) | (missingLeft & (254 - code >>> 31));
    entries[l] = entry;
    scratch[r] = entry;
    l += goesLeft;
    r += 1 - goesLeft;
  }
  for (let i = 0; i < r; i++) entries[l + i] = scratch[i]!;
  return l;
}
