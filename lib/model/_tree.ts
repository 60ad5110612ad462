import type { Chance } from "../numbers/mod.ts";
import { type BinnedFeature, MISSING_BIN } from "./_bins.ts";

/**
 * A grown tree in flat arrays. Node 0 is the root. `feature` is -1 at a leaf; a row goes to `left` when its value is at or
 * below `threshold`, or is missing and `missingLeft` is 1; else to `left + 1`. A threshold of +Infinity with `missingLeft` 0
 * asks "missing or not". `shares` holds the class shares of every node, `classes` numbers each.
 */
export interface Tree {
  readonly feature: Int16Array;
  readonly threshold: Float64Array;
  readonly missingLeft: Uint8Array;
  readonly left: Int32Array;
  readonly shares: Float64Array;
}

export interface GrowOptions {
  readonly classes: number;
  /** Features looked at in a split. */
  readonly tryFeatures: number;
  /** Least sum of row counts (not weights) in a leaf. */
  readonly leastLeaf: number;
  readonly mostDepth: number;
}

/** What a split must gain, a row: so little is a rounding error. */
const LEAST_GAIN = 1e-10;

/** A whole number from 0 to under `below`: the high half of a random word times it. */
function wordBelow(chance: Chance, below: number): number {
  return Math.floor(chance.word() * below / 4294967296);
}

/**
 * How much a split lowers the Gini index: with l of t cases of a class and s of n in all on one side, the sum over classes of
 * (n l - t s)^2 / (s (n - s)), times what is the same for every split of a node.
 */
function gainOf(
  side: Float64Array,
  more: Float64Array | null,
  total: Float64Array,
  size: number,
  all: number,
): number {
  let squares = 0;
  for (let k = 0; k < total.length; k++) {
    const apart = all * (more === null ? side[k]! : side[k]! + more[k]!) - total[k]! * size;
    squares += apart * apart;
  }
  return squares / (size * (all - size));
}

/** Room used again from tree to tree. */
export class Grower {
  readonly #histogram: Float64Array;
  readonly #binCount = new Int32Array(256);
  readonly #touched = new Uint32Array(8);
  readonly #left: Float64Array;
  readonly #total: Float64Array;
  readonly #gone: Float64Array;
  readonly #scratch: Int32Array;
  readonly #order: Int32Array;
  readonly #weight: Float64Array;
  /** The bin of the split at each node of the tree grown last, for rows that are binned already. */
  splitBin: Int16Array = new Int16Array(0);
  /** How often each row was drawn for the tree grown last. */
  readonly draws: Int32Array;

  constructor(
    readonly features: readonly BinnedFeature[],
    readonly outcome: Uint8Array,
    readonly options: GrowOptions,
    readonly weights: Float64Array | undefined,
  ) {
    this.draws = new Int32Array(outcome.length);
    this.#weight = new Float64Array(outcome.length);
    const { classes } = options;
    this.#histogram = new Float64Array(256 * classes);
    this.#left = new Float64Array(classes);
    this.#total = new Float64Array(classes);
    this.#gone = new Float64Array(classes);
    this.#scratch = new Int32Array(outcome.length);
    this.#order = new Int32Array(features.length);
  }

  /** Draws rows and what each then weighs. */
  #draw(chance: Chance, bootstrap: boolean): void {
    const { draws, weights } = this, weight = this.#weight, n = draws.length;
    draws.fill(bootstrap ? 0 : 1);
    if (bootstrap) { for (let i = 0; i < n; i++) draws[wordBelow(chance, n)]! += 1; }
    weight.set(draws);
    if (weights === undefined) return;
    let weighs = false;
    for (let i = 0; i < n; i++) {
      weight[i]! *= weights[i]!;
      if (weight[i]! > 0) weighs = true;
    }
    // A draw that missed every row with a weight learns from all of them.
    if (weighs) return;
    draws.fill(1);
    weight.set(weights);
  }

  /** Grows a tree on rows drawn with replacement, or on every row once. */
  grow(chance: Chance, bootstrap: boolean): Tree {
    this.#draw(chance, bootstrap);
    const { features, outcome, draws: count } = this, weight = this.#weight;
    const { classes, tryFeatures, leastLeaf, mostDepth } = this.options;
    const p = features.length;
    const rows = new Int32Array(outcome.length);
    let used = 0;
    for (let i = 0; i < outcome.length; i++) if (count[i]! > 0 && weight[i]! > 0) rows[used++] = i;
    const room = 2 * used + 1;
    const feature = new Int16Array(room).fill(-1);
    const threshold = new Float64Array(room);
    const missingLeft = new Uint8Array(room);
    const left = new Int32Array(room);
    const splitBin = new Int16Array(room);
    const shares = new Float64Array(room * classes);
    const start = new Int32Array(room), end = new Int32Array(room), depth = new Int32Array(room);
    end[0] = used;
    let nodes = 1;
    const total = this.#total, leftSum = this.#left, gone = this.#gone;
    const histogram = this.#histogram,
      binCount = this.#binCount,
      touched = this.#touched,
      order = this.#order;
    for (let j = 0; j < p; j++) order[j] = j;
    for (let node = 0; node < nodes; node++) {
      const from = start[node]!, to = end[node]!;
      total.fill(0);
      let cases = 0;
      for (let r = from; r < to; r++) {
        const row = rows[r]!;
        total[outcome[row]!]! += weight[row]!;
        cases += count[row]!;
      }
      let all = 0, met = 0;
      for (let k = 0; k < classes; k++) {
        all += total[k]!;
        if (total[k]! > 0) met++;
      }
      for (let k = 0; k < classes; k++) shares[node * classes + k] = total[k]! / all;
      if (met < 2 || cases < 2 * leastLeaf || depth[node]! >= mostDepth) continue;
      let best = LEAST_GAIN * all * all, bestFeature = -1, bestBin = 0, bestNext = 0, bestMissingLeft = 0;
      let looked = 0;
      for (let d = 0; d < p && looked < tryFeatures; d++) {
        const pick = d + wordBelow(chance, p - d), j = order[pick]!;
        order[pick] = order[d]!;
        order[d] = j;
        const codes = features[j]!.codes;
        touched.fill(0);
        for (let r = from; r < to; r++) {
          const row = rows[r]!, code = codes[row]!;
          touched[code >> 5]! |= 1 << (code & 31);
          binCount[code]! += count[row]!;
          histogram[code * classes + outcome[row]!]! += weight[row]!;
        }
        let missingCases = 0, missingAll = 0;
        gone.fill(0);
        if (features[j]!.anyMissing && binCount[MISSING_BIN]! > 0) {
          missingCases = binCount[MISSING_BIN]!;
          binCount[MISSING_BIN] = 0;
          touched[7]! &= 0x7fffffff;
          for (let k = 0; k < classes; k++) {
            const at = MISSING_BIN * classes + k;
            gone[k] = histogram[at]!;
            missingAll += histogram[at]!;
            histogram[at] = 0;
          }
        }
        let distinct = missingCases > 0 ? 1 : 0;
        let leftCases = 0, leftAll = 0, previous = -1;
        leftSum.fill(0);
        const presentCases = cases - missingCases;
        for (let word = 0; word < 8; word++) {
          let bits = touched[word]!;
          while (bits !== 0) {
            const lowest = bits & -bits;
            bits ^= lowest;
            const bin = (word << 5) + 31 - Math.clz32(lowest);
            distinct++;
            if (previous >= 0) {
              const rightCases = presentCases - leftCases;
              // Missing to the right.
              if (leftCases >= leastLeaf && rightCases + missingCases >= leastLeaf) {
                const score = gainOf(leftSum, null, total, leftAll, all);
                if (score > best) {
                  best = score;
                  bestFeature = j;
                  bestBin = previous;
                  bestNext = bin;
                  bestMissingLeft = missingCases > 0 ? 0 : leftCases >= rightCases ? 1 : 0;
                }
              }
              // Missing to the left.
              if (missingCases > 0 && leftCases + missingCases >= leastLeaf && rightCases >= leastLeaf) {
                const score = gainOf(leftSum, gone, total, leftAll + missingAll, all);
                if (score > best) {
                  best = score;
                  bestFeature = j;
                  bestBin = previous;
                  bestNext = bin;
                  bestMissingLeft = 1;
                }
              }
            }
            for (let k = 0; k < classes; k++) {
              const at = bin * classes + k;
              const held = histogram[at]!;
              leftSum[k]! += held;
              leftAll += held;
              histogram[at] = 0;
            }
            leftCases += binCount[bin]!;
            binCount[bin] = 0;
            previous = bin;
          }
        }
        // Missing or not.
        if (missingCases >= leastLeaf && presentCases >= leastLeaf && presentCases > 0) {
          const score = gainOf(gone, null, total, missingAll, all);
          if (score > best) {
            best = score;
            bestFeature = j;
            bestBin = MISSING_BIN - 1;
            bestNext = MISSING_BIN;
            bestMissingLeft = 0;
          }
        }
        if (distinct > 1) looked++;
      }
      if (bestFeature < 0) continue;
      const chosen = features[bestFeature]!;
      const codes = chosen.codes;
      let l = from, r = 0;
      const scratch = this.#scratch;
      for (let at = from; at < to; at++) {
        const row = rows[at]!, code = codes[row]!;
        const goesLeft = code === MISSING_BIN ? bestMissingLeft === 1 : code <= bestBin;
        if (goesLeft) rows[l++] = row;
        else scratch[r++] = row;
      }
      for (let i = 0; i < r; i++) rows[l + i] = scratch[i]!;
      feature[node] = bestFeature;
      if (bestNext === MISSING_BIN) {
        splitBin[node] = bestBin;
        threshold[node] = Infinity;
      } else {
        // Bins between the two are empty here, but rows met later may lie in them.
        let middle = middleOf(chosen.high[bestBin]!, chosen.low[bestNext]!), last = bestBin;
        while (last + 1 < bestNext && chosen.low[last + 1]! + chosen.high[last + 1]! <= 2 * middle) last++;
        if (!chosen.exact) middle = middleOf(chosen.high[last]!, chosen.low[last + 1]!);
        splitBin[node] = last;
        threshold[node] = middle;
      }
      missingLeft[node] = bestMissingLeft;
      left[node] = nodes;
      start[nodes] = from;
      end[nodes] = l;
      start[nodes + 1] = l;
      end[nodes + 1] = to;
      depth[nodes] = depth[node]! + 1;
      depth[nodes + 1] = depth[node]! + 1;
      nodes += 2;
    }
    this.splitBin = splitBin;
    return {
      feature: feature.slice(0, nodes),
      threshold: threshold.slice(0, nodes),
      missingLeft: missingLeft.slice(0, nodes),
      left: left.slice(0, nodes),
      shares: shares.slice(0, nodes * classes),
    };
  }
}

/** The leaf of a row that is binned already; `splitBin` as the grower left it. */
export function leafOfBins(
  tree: Tree,
  features: readonly BinnedFeature[],
  splitBin: Int16Array,
  row: number,
): number {
  let node = 0;
  while (tree.feature[node]! >= 0) {
    const code = features[tree.feature[node]!]!.codes[row]!;
    const goesLeft = code === MISSING_BIN ? tree.missingLeft[node] === 1 : code <= splitBin[node]!;
    node = tree.left[node]! + (goesLeft ? 0 : 1);
  }
  return node;
}

/** The middle of two numbers, never rounded up to the higher one, so that "at or below" parts them. */
export function middleOf(low: number, high: number): number {
  const middle = low + (high - low) / 2;
  return middle < high ? middle : low;
}

/** The leaf of a row of columns (NaN = missing). */
export function leafOfColumns(tree: Tree, columns: readonly Float64Array[], row: number): number {
  let node = 0;
  for (let j = tree.feature[0]!; j >= 0; j = tree.feature[node]!) {
    const value = columns[j]![row]!;
    const goesLeft = Number.isNaN(value) ? tree.missingLeft[node] === 1 : value <= tree.threshold[node]!;
    node = tree.left[node]! + (goesLeft ? 0 : 1);
  }
  return node;
}
