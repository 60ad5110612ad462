import type { Chance } from "../numbers/mod.ts";
import { type BinnedFeature, MISSING_BIN } from "./_bins.ts";
import { addPair, binsMet, binsOfAll, partEntries, scanBins } from "./_tree_scan.ts";
import { type GrowOptions, middleOf, type Tree } from "./_tree.ts";

/** An entry of a node holds a row, how often it was drawn (at most 255) and its class: row << 10 | times << 2 | class. */
const MOST_TIMES = 255;
/** From so many entries on two features are looked at in one go. */
const PAIR = 128;
/** Rows whose number fits into an entry. */
export const MOST_QUICK_ROWS = 2 ** 22;

/**
 * Grows the same trees as `Grower`, for up to three classes and rows without weights, several times as fast: whole-number
 * histograms, class sums in local variables, each node's sums handed down from its parent's split, no division but for the
 * best split so far, and buffers used again from tree to tree.
 */
export class ThreeClassGrower {
  readonly features: readonly BinnedFeature[];
  readonly outcome: Uint8Array;
  readonly options: GrowOptions;
  readonly #order: Int32Array;
  readonly #histogram = new Int32Array(256 * 4);
  readonly #otherHistogram = new Int32Array(256 * 4);
  readonly #bins = new Uint8Array(256);
  readonly #found = new Int32Array(7);
  readonly #best = new Float64Array(1);
  #entries = new Int32Array(0);
  #scratch = new Int32Array(0);
  #feature = new Int16Array(0);
  #threshold = new Float64Array(0);
  #missingLeft = new Uint8Array(0);
  #left = new Int32Array(0);
  #sums = new Int32Array(0);
  #start = new Int32Array(0);
  #end = new Int32Array(0);
  #depth = new Int32Array(0);
  splitBin: Int16Array = new Int16Array(0);

  constructor(features: readonly BinnedFeature[], outcome: Uint8Array, options: GrowOptions) {
    this.features = features;
    this.outcome = outcome;
    this.options = options;
    this.#order = new Int32Array(features.length);
  }

  #makeRoom(entries: number): void {
    if (this.#entries.length >= entries) return;
    const room = 2 * entries + 1;
    this.#entries = new Int32Array(entries);
    this.#scratch = new Int32Array(entries);
    this.#feature = new Int16Array(room);
    this.#threshold = new Float64Array(room);
    this.#missingLeft = new Uint8Array(room);
    this.#left = new Int32Array(room);
    this.#sums = new Int32Array(3 * room);
    this.#start = new Int32Array(room);
    this.#end = new Int32Array(room);
    this.#depth = new Int32Array(room);
    this.splitBin = new Int16Array(room);
  }

  grow(count: Int32Array, chance: Chance | null): Tree {
    const { features, outcome } = this;
    const { classes, tryFeatures, leastLeaf, mostDepth } = this.options;
    const p = features.length;
    // A row drawn so often that it needs another entry leaves more rows undrawn: no more entries than draws are needed.
    this.#makeRoom(sumOf(count));
    const entries = this.#entries, scratch = this.#scratch, order = this.#order, bins = this.#bins;
    const histogram = this.#histogram,
      otherHistogram = this.#otherHistogram,
      best = this.#best,
      found = this.#found;
    const feature = this.#feature, threshold = this.#threshold, missingLeft = this.#missingLeft;
    const left = this.#left, splitBin = this.splitBin, sums = this.#sums;
    const start = this.#start, end = this.#end, depth = this.#depth;
    start[0] = 0;
    end[0] = fillEntries(entries, sums, count, outcome);
    depth[0] = 0;
    let nodes = 1;
    for (let j = 0; j < p; j++) order[j] = j;
    for (let node = 0; node < nodes; node++) {
      feature[node] = -1;
      threshold[node] = 0;
      missingLeft[node] = 0;
      left[node] = 0;
      const t0 = sums[3 * node]!, t1 = sums[3 * node + 1]!, t2 = sums[3 * node + 2]!;
      const all = t0 + t1 + t2;
      if (t0 === all || t1 === all || t2 === all || all < 2 * leastLeaf || depth[node]! >= mostDepth) {
        continue;
      }
      const from = start[node]!, to = end[node]!;
      best[0] = (t0 * t0 + t1 * t1 + t2 * t2) / all + 1e-10 * all;
      let chosen = -1;
      for (let d = 0, looked = 0; d < p && looked < tryFeatures; d++) {
        const j = drawFeature(order, d, p, chance), one = features[j]!;
        if (to - from >= PAIR && d + 1 < p && looked + 1 < tryFeatures) {
          const k = drawFeature(order, ++d, p, chance), other = features[k]!;
          addPair(entries, from, to, one.codes, histogram, other.codes, otherHistogram);
          const met = binsOfAll(one.count, histogram, bins);
          if (met > 1) looked++;
          if (scanBins(histogram, bins, met, t0, t1, t2, leastLeaf, best, found)) chosen = j;
          const otherMet = binsOfAll(other.count, otherHistogram, bins);
          if (otherMet > 1) looked++;
          if (scanBins(otherHistogram, bins, otherMet, t0, t1, t2, leastLeaf, best, found)) chosen = k;
          continue;
        }
        const met = binsMet(entries, from, to, one.codes, one.count, histogram, bins);
        if (met > 1) looked++;
        if (scanBins(histogram, bins, met, t0, t1, t2, leastLeaf, best, found)) chosen = j;
      }
      if (chosen < 0) continue;
      const { codes, high, low, exact } = features[chosen]!;
      const bin = found[0]!, next = found[1]!, side = found[2]!;
      const middleAt = partEntries(entries, scratch, from, to, codes, bin, side);
      feature[node] = chosen;
      if (next === MISSING_BIN) {
        splitBin[node] = bin;
        threshold[node] = Infinity;
      } else {
        // Bins between the two are empty here, but rows met later may lie in them.
        let middle = middleOf(high[bin]!, low[next]!), last = bin;
        while (last + 1 < next && low[last + 1]! + high[last + 1]! <= 2 * middle) last++;
        if (!exact) middle = middleOf(high[last]!, low[last + 1]!);
        splitBin[node] = last;
        threshold[node] = middle;
      }
      missingLeft[node] = side;
      left[node] = nodes;
      start[nodes] = from;
      end[nodes] = middleAt;
      start[nodes + 1] = middleAt;
      end[nodes + 1] = to;
      depth[nodes] = depth[nodes + 1] = depth[node]! + 1;
      sums[3 * nodes] = found[3]!;
      sums[3 * nodes + 1] = found[4]!;
      sums[3 * nodes + 2] = found[5]!;
      sums[3 * nodes + 3] = t0 - found[3]!;
      sums[3 * nodes + 4] = t1 - found[4]!;
      sums[3 * nodes + 5] = t2 - found[5]!;
      nodes += 2;
    }
    return {
      feature: feature.slice(0, nodes),
      threshold: threshold.slice(0, nodes),
      missingLeft: missingLeft.slice(0, nodes),
      left: left.slice(0, nodes),
      shares: sharesOf(sums, nodes, classes),
    };
  }
}

/** The feature to look at as number `d`: drawn among those not yet looked at, or in order without chance. */
function drawFeature(order: Int32Array, d: number, p: number, chance: Chance | null): number {
  if (chance === null) return order[d]!;
  const pick = d + Math.floor(chance.next() * (p - d)), picked = order[pick]!;
  order[pick] = order[d]!;
  order[d] = picked;
  return picked;
}

function sumOf(count: Int32Array): number {
  let sum = 0;
  for (let i = 0; i < count.length; i++) sum += count[i]!;
  return sum;
}

/** Puts every row drawn into an entry (or more, where it was drawn more than 255 times), and sums the classes of all. */
function fillEntries(entries: Int32Array, sums: Int32Array, count: Int32Array, outcome: Uint8Array): number {
  let used = 0;
  sums.fill(0, 0, 3);
  for (let i = 0; i < outcome.length; i++) {
    const code = outcome[i]!;
    let times = count[i]!;
    sums[code]! += times;
    for (; times > MOST_TIMES; times -= MOST_TIMES) entries[used++] = i << 10 | MOST_TIMES << 2 | code;
    if (times > 0) entries[used++] = i << 10 | times << 2 | code;
  }
  return used;
}

function sharesOf(sums: Int32Array, nodes: number, classes: number): Float64Array {
  const shares = new Float64Array(nodes * classes);
  for (let node = 0; node < nodes; node++) {
    const all = sums[3 * node]! + sums[3 * node + 1]! + sums[3 * node + 2]!;
    for (let k = 0; k < classes; k++) shares[node * classes + k] = sums[3 * node + k]! / all;
  }
  return shares;
}
