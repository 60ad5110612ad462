import { type Chance, chance } from "../numbers/mod.ts";
import { binFeature, type BinnedFeature } from "./_bins.ts";
import { sharesOfMany } from "./_shares_of_many.ts";
import { isQuick, QuickGrower } from "./_quick_grower.ts";
import { Grower, leafOfBins, leafOfColumns, type Tree } from "./_tree.ts";

/** Options of {@link growForest}. */
export interface GrowForestOptions {
  readonly seed: number;
  /** Number of classes. Default: the largest code + 1. */
  readonly classes?: number;
  /** Trees. Default 200. */
  readonly trees?: number;
  /** Number of the first tree: trees 100 to 199 are the same, grown by themselves or after the first hundred. Default 0. */
  readonly firstTree?: number;
  /** Features looked at in each split, drawn anew without replacement. Default: the square root of their number, rounded down. */
  readonly tryFeatures?: number;
  /** Least rows in a leaf, each as often as it was drawn. Default 1. */
  readonly leastLeaf?: number;
  /** Most splits on the way to a leaf. Default: no limit. */
  readonly mostDepth?: number;
  /** False: every tree learns from every row once. Default true: as many rows as there are, drawn with replacement. */
  readonly bootstrap?: boolean;
  /** A weight of 0 or above a row. Default 1 each. */
  readonly weights?: Float64Array;
  /** Give out-of-bag shares and importances. Default true; has no effect without a bootstrap, and is refused there. */
  readonly outOfBag?: boolean;
  /** Also permute each feature out of bag. Default false. */
  readonly importance?: boolean;
}

/** A forest of trees that vote with the class shares of their leaves. */
export interface Forest {
  readonly classes: number;
  readonly trees: readonly Tree[];
  /** Out-of-bag class shares, rows x classes, and by how many trees each row was left out (0: its shares are NaN). */
  readonly outOfBag: { readonly shares: Float64Array; readonly counts: Int32Array } | null;
  /** Mean over trees of the out-of-bag accuracy lost when a feature is shuffled, not divided by its standard error. */
  readonly importance: Float64Array | null;
}

/**
 * Grows a random forest (Breiman 2001, Machine Learning 45:5) on columns of numbers, NaN where missing.
 *
 * Trees are CART with the Gini index (Breiman, Friedman, Olshen and Stone 1984), unpruned. At each split `tryFeatures`
 * features that vary there are drawn without replacement; thresholds are midpoints between neighbouring distinct values (of
 * neighbouring bins of about equal counts, where a feature has more than 255 distinct values). Missing values go to the side
 * that gains more, and "missing or not" is itself a split. `outcome` holds codes from 0. Tree t draws from its own stream of
 * the seed, so the order in which trees are grown changes nothing. Inputs stay as they are.
 *
 * Throws RangeError for no rows or features, lengths that differ, more than 256 classes, options out of range or without
 * effect; TypeError for an infinity.
 *
 * @example
 * ```ts
 * import { forestShares, growForest } from "overiron";
 * const x = [Float64Array.of(1, 2, 3, 7, 8, 9)];
 * const forest = growForest(x, Uint8Array.of(0, 0, 0, 1, 1, 1), { seed: 1, trees: 25 });
 * const shares = forestShares(forest, [Float64Array.of(1.5, 8.5)]);
 * if (!(shares[0]! > 0.9 && shares[3]! > 0.9)) throw new Error(String(shares));
 * ```
 */
export function growForest(
  columns: readonly Float64Array[],
  outcome: Uint8Array,
  options: GrowForestOptions,
): Forest {
  const n = outcome.length, p = columns.length;
  const {
    seed,
    classes = outcome.reduce((most, code) => Math.max(most, code), 0) + 1,
    trees: treeCount = 200,
    firstTree = 0,
    tryFeatures = Math.max(1, Math.floor(Math.sqrt(p))),
    leastLeaf = 1,
    mostDepth = Infinity,
    bootstrap = true,
    weights,
    outOfBag = bootstrap,
    importance = false,
  } = options;
  const refuse = (rule: string): never => {
    throw new RangeError(`Cannot grow forest: ${rule}`);
  };
  if (n === 0 || p === 0) refuse(`need 1 row and 1 feature or more, got ${n} rows and ${p} features`);
  if (p > 30000) refuse(`need 30000 features or fewer, got ${p}`);
  columns.forEach((column, j) => {
    if (column.length !== n) refuse(`column ${j} must have ${n} rows, got ${column.length}`);
    for (const value of column) {
      if (value === Infinity || value === -Infinity) {
        throw new TypeError(
          `Cannot grow forest: numbers must be finite or missing, got ${value} in column ${j}`,
        );
      }
    }
  });
  const most = outcome.reduce((top, code) => Math.max(top, code), 0);
  if (!Number.isSafeInteger(classes) || classes <= most || classes > 256) {
    refuse(`classes must be from ${most + 1} to 256, got ${classes}`);
  }
  for (const [name, value, top] of [["trees", treeCount, 100000], ["tryFeatures", tryFeatures, p]] as const) {
    if (!Number.isSafeInteger(value) || value < 1 || value > top) {
      refuse(`${name} must be from 1 to ${top}, got ${value}`);
    }
  }
  if (!Number.isSafeInteger(firstTree) || firstTree < 0) {
    refuse(`firstTree must be a whole number of 0 or above, got ${firstTree}`);
  }
  if (!(leastLeaf >= 1)) refuse(`leastLeaf must be 1 or above, got ${leastLeaf}`);
  if (!(mostDepth >= 1)) refuse(`mostDepth must be 1 or above, got ${mostDepth}`);
  if (!bootstrap && outOfBag) refuse("without a bootstrap no row is out of bag; leave outOfBag out");
  if (importance && !outOfBag) refuse("importance needs outOfBag");
  if (weights && weights.length !== n) refuse(`need one weight a row, got ${weights.length} for ${n} rows`);
  if (weights?.some((weight) => !(weight >= 0 && weight < Infinity))) {
    refuse("weights must be finite and 0 or above");
  }
  if (weights && !weights.some((weight) => weight > 0)) refuse("one weight must be above 0");

  const features = columns.map(binFeature);
  const growing = { classes, tryFeatures, leastLeaf, mostDepth };
  const grower = weights === undefined && isQuick(n, p, classes)
    ? new QuickGrower(features, outcome, growing)
    : new Grower(features, outcome, growing, weights);
  const grown: Tree[] = [];
  const shares = new Float64Array(outOfBag ? n * classes : 0);
  const counts = new Int32Array(outOfBag ? n : 0);
  const lost = new Float64Array(importance ? p : 0);
  let importanceTrees = 0;
  for (let t = 0; t < treeCount; t++) {
    const tree = grower.grow(chance(seed, "model/forest", firstTree + t), bootstrap);
    const { splitBin, draws } = grower;
    grown.push(tree);
    if (outOfBag) {
      const left: number[] = [];
      for (let i = 0; i < n; i++) {
        if (draws[i] !== 0) continue;
        left.push(i);
        const leaf = leafOfBins(tree, features, splitBin, i);
        for (let k = 0; k < classes; k++) shares[i * classes + k]! += tree.shares[leaf * classes + k]!;
        counts[i]! += 1;
      }
      if (importance && left.length > 0) {
        importanceTrees++;
        addLosses(
          (row) => voteOf(tree, leafOfBins(tree, features, splitBin, row), classes) === outcome[row],
          { tree, features, left, lost, stream: chance(seed, "model/forest importance", firstTree + t) },
        );
      }
    }
  }
  for (let i = 0; i < counts.length; i++) {
    for (let k = 0; k < classes; k++) shares[i * classes + k] = shares[i * classes + k]! / counts[i]!;
  }
  return {
    classes,
    trees: grown,
    outOfBag: outOfBag ? { shares, counts } : null,
    importance: importance ? lost.map((sum) => sum / Math.max(1, importanceTrees)) : null,
  };
}

function voteOf(tree: Tree, leaf: number, classes: number): number {
  let best = 0;
  for (let k = 1; k < classes; k++) {
    if (tree.shares[leaf * classes + k]! > tree.shares[leaf * classes + best]!) best = k;
  }
  return best;
}

function addLosses(
  right: (row: number) => boolean,
  parts: {
    readonly tree: Tree;
    readonly features: readonly BinnedFeature[];
    readonly left: readonly number[];
    readonly lost: Float64Array;
    readonly stream: Chance;
  },
): void {
  const { tree, features, left, lost, stream } = parts;
  const before = left.filter(right).length;
  const used = new Set(tree.feature);
  for (let j = 0; j < lost.length; j++) {
    if (!used.has(j)) continue;
    const codes = features[j]!.codes;
    const shuffled = stream.shuffle(left);
    const held = left.map((i) => codes[i]!);
    const given = shuffled.map((i) => codes[i]!);
    left.forEach((i, at) => codes[i] = given[at]!);
    const still = left.filter(right).length;
    left.forEach((i, at) => codes[i] = held[at]!);
    lost[j]! += (before - still) / left.length;
  }
}

/** From so many rows on it pays to hand trees to the compiled code. */
const MANY_ROWS = 16;

/** The last column that trees ask for, worked out once: a verdict in the field asks the same trees again and again. */
const lastColumns = new WeakMap<readonly Tree[], number>();

function lastColumnOf(trees: readonly Tree[]): number {
  let last = lastColumns.get(trees);
  if (last === undefined) {
    last = trees.reduce((top, tree) => tree.feature.reduce((most, j) => Math.max(most, j), top), -1);
    lastColumns.set(trees, last);
  }
  return last;
}

/**
 * Gives the class shares a forest sees for rows of columns: the mean over trees of the shares in the leaf, rows x classes.
 * Missing values are NaN. Throws RangeError when the forest asks for a column that is not there.
 *
 * @example
 * ```ts
 * import { forestShares, growForest } from "overiron";
 * const tree = growForest([Float64Array.of(1, 2)], Uint8Array.of(0, 1), { seed: 1, trees: 1, bootstrap: false });
 * if (forestShares(tree, [Float64Array.of(1.4)])[0] !== 1) throw new Error("1.4 is nearer to 1");
 * ```
 */
export function forestShares(
  forest: Pick<Forest, "classes" | "trees">,
  columns: readonly Float64Array[],
): Float64Array {
  const { classes, trees } = forest;
  const n = columns[0]?.length ?? 0;
  const needed = lastColumnOf(trees);
  if (needed >= columns.length) {
    throw new RangeError(`Cannot use forest: it asks for ${needed + 1} columns, got ${columns.length}`);
  }
  if (n >= MANY_ROWS) return sharesOfMany(forest, columns);
  const shares = new Float64Array(n * classes);
  for (const tree of trees) {
    for (let i = 0; i < n; i++) {
      const leaf = leafOfColumns(tree, columns, i) * classes;
      for (let k = 0; k < classes; k++) shares[i * classes + k]! += tree.shares[leaf + k]!;
    }
  }
  for (let at = 0; at < shares.length; at++) shares[at]! /= trees.length;
  return shares;
}
