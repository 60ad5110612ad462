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
  readonly chance: Chance | null;
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
  /** The bin of the split at each node of the tree grown last, for rows that are binned already. */
  splitBin: Int16Array = new Int16Array(0);

  constructor(
    readonly features: readonly BinnedFeature[],
    readonly outcome: Uint8Array,
    readonly options: GrowOptions,
  ) {
    const { classes } = options;
    this.#histogram = new Float64Array(256 * classes);
    this.#left = new Float64Array(classes);
    this.#total = new Float64Array(classes);
    this.#gone = new Float64Array(classes);
    this.#scratch = new Int32Array(outcome.length);
    this.#order = new Int32Array(features.length);
  }

  /** Grows one tree on rows with an integer count (0: left out) and a weight a row, `weight` including the count. */
  grow(count: Int32Array, weight: Float64Array, chance: Chance | null): Tree {
    const { features, outcome } = this;
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
      let all = 0, met = 0, squares = 0;
      for (let k = 0; k < classes; k++) {
        all += total[k]!;
        squares += total[k]! * total[k]!;
        if (total[k]! > 0) met++;
      }
      for (let k = 0; k < classes; k++) shares[node * classes + k] = total[k]! / all;
      if (met < 2 || cases < 2 * leastLeaf || depth[node]! >= mostDepth) continue;
      const parent = squares / all;
      let best = parent + 1e-10 * all, bestFeature = -1, bestBin = 0, bestNext = 0, bestMissingLeft = 0;
      let looked = 0;
      for (let d = 0; d < p && looked < tryFeatures; d++) {
        if (chance !== null) {
          const pick = d + Math.floor(chance.next() * (p - d));
          const swap = order[d]!;
          order[d] = order[pick]!;
          order[pick] = swap;
        }
        const j = order[d]!;
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
              const rightAll = all - missingAll - leftAll;
              // Missing to the right.
              if (leftCases >= leastLeaf && rightCases + missingCases >= leastLeaf) {
                let a = 0, b = 0;
                for (let k = 0; k < classes; k++) {
                  const l = leftSum[k]!, r = total[k]! - l;
                  a += l * l;
                  b += r * r;
                }
                const right = rightAll + missingAll, score = a * right + b * leftAll, over = leftAll * right;
                if (score > best * over) {
                  best = score / over;
                  bestFeature = j;
                  bestBin = previous;
                  bestNext = bin;
                  bestMissingLeft = missingCases > 0 ? 0 : leftCases >= rightCases ? 1 : 0;
                }
              }
              // Missing to the left.
              if (missingCases > 0 && leftCases + missingCases >= leastLeaf && rightCases >= leastLeaf) {
                let a = 0, b = 0;
                for (let k = 0; k < classes; k++) {
                  const l = leftSum[k]! + gone[k]!, r = total[k]! - l;
                  a += l * l;
                  b += r * r;
                }
                const side = leftAll + missingAll, score = a * rightAll + b * side, over = side * rightAll;
                if (score > best * over) {
                  best = score / over;
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
          let a = 0, b = 0;
          for (let k = 0; k < classes; k++) {
            const r = gone[k]!, l = total[k]! - r;
            a += l * l;
            b += r * r;
          }
          const present = all - missingAll, score = a * missingAll + b * present, over = present * missingAll;
          if (score > best * over) {
            best = score / over;
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
