import { z } from "zod";
import { checkFit, type Classifier, floorProbabilities, type Model, modelFile } from "./classifier.ts";
import type { Tree } from "./_tree.ts";
import { checkFeatureTable, type FeatureTable, takeFeatures } from "./feature_table.ts";
import { READING_FEATURES } from "./features.ts";
import { forestShares, growForest } from "./grow_forest.ts";

/** A tree of more nodes no season can have grown: two for each of a million signals. */
const MOST_NODES = 2_000_001;

const treeSchema = z.strictObject({
  feature: z.array(z.number().int().min(-1)).max(MOST_NODES),
  /** Null stands for "missing or not". */
  threshold: z.array(z.number().nullable()),
  missingLeft: z.array(z.union([z.literal(0), z.literal(1)])),
  left: z.array(z.number().int().min(0)),
  /** Shares of the three outcomes at each node that is a leaf, in the order of the leaves. */
  shares: z.array(z.number().min(0).max(1)),
}).refine(
  ({ feature, threshold, missingLeft, left, shares }) => {
    const leaves = feature.filter((j) => j < 0).length;
    return feature.length > 0 &&
      [threshold, missingLeft, left].every((list) => list.length === feature.length) &&
      shares.length === 3 * leaves &&
      left.every((at, node) => feature[node]! < 0 || (at > node && at + 1 < feature.length));
  },
  { message: "A tree's lists must fit together and lead downwards" },
);

export const forestParametersSchema = z.strictObject({
  features: z.array(z.string()).min(1).max(30_000),
  trees: z.array(treeSchema).min(1).max(100_000),
}).refine(({ features, trees }) => trees.every((tree) => tree.feature.every((j) => j < features.length)), {
  message: "A tree asks for a feature that is not there",
});
export type ForestParameters = z.infer<typeof forestParametersSchema>;

/** Options of {@link outcomeForest} and {@link outcomeTree}. */
export interface OutcomeForestOptions {
  /** Feature names. Default: those of `READING_FEATURES` that the table has. */
  readonly features?: readonly string[];
  /** Trees. Default 200. */
  readonly trees?: number;
  /** Least rows in a leaf. Default 3 (forest), 10 (single tree). */
  readonly leastLeaf?: number;
}

/** Columns worth learning from: something is there, and something differs. What nobody logged is left out. */
function usable(x: FeatureTable, features: readonly string[] | undefined): FeatureTable {
  const table = takeFeatures(x, features ?? READING_FEATURES.filter((feature) => x.names.includes(feature)));
  const kept = table.names.filter((_, j) => {
    const why = table.whyMissing[j]!, column = table.columns[j]!;
    const first = column.find((value) => !Number.isNaN(value));
    if (first === undefined) return false;
    return column.some((value) => !Number.isNaN(value) && value !== first) ||
      why.some((reason) => reason !== 0);
  });
  return takeFeatures(table, kept);
}

/**
 * Gives our own random forest as an engine (see {@link growForest}): 200 trees, leaves of 3 or more, half of the
 * features looked at in each split. Nothing in it is tuned to a log: half the features and small leaves were the best of a few
 * choices on virtual seasons of 600 signals, by out-of-site log loss; the usual square root of their number was worse, since
 * the centre tells so much more than the rest.
 *
 * A missing value goes to the side that gains more, and "missing or not" is a split of its own. Throws RangeError where no
 * feature varies.
 *
 * @example
 * ```ts
 * import { outcomeForest } from "overiron";
 * const n = 40, group = new Int32Array(n), codes = Uint8Array.from({ length: n }, (_, i) => i % 2);
 * const x = { n, names: ["centre"], columns: [Float64Array.from(codes, (code, i) => 100 + 200 * code + i)],
 *   whyMissing: [new Uint8Array(n)], groups: { site: group, outing: group, observer: group } };
 * const p = outcomeForest({ trees: 20 }).fit(x, codes, { seed: 1 }).probabilities(x);
 * if (!(p[0]! > 0.8 && p[4]! > 0.8)) throw new Error(String(p.slice(0, 6)));
 * ```
 */
export function outcomeForest(options: OutcomeForestOptions = {}): Classifier {
  const { features, trees = 200, leastLeaf = 3 } = options;
  return {
    name: "forest",
    fit(x, outcome, { seed, weights }) {
      checkFit(x, outcome, weights ? { seed, weights } : { seed });
      const table = usable(x, features);
      if (table.names.length === 0) {
        throw new RangeError("Cannot fit forest: need a feature that varies, got none");
      }
      const tryFeatures = Math.ceil(table.names.length / 2);
      const base = { seed, classes: 3, trees, tryFeatures, leastLeaf, outOfBag: false };
      const forest = growForest(table.columns, outcome, weights ? { ...base, weights } : base);
      return forestModel("forest", table.names, forest.trees, x.n);
    },
  };
}

/**
 * Gives a single tree as an engine: one that can be drawn and followed by eye. Every feature is looked at in every split;
 * it stops at leaves of 10 and after 4 splits (`leastLeaf` changes the first).
 *
 * @example
 * ```ts
 * import { outcomeTree } from "overiron";
 * if (outcomeTree().name !== "single tree") throw new Error("wrong name");
 * ```
 */
export function outcomeTree(options: Omit<OutcomeForestOptions, "trees"> = {}): Classifier {
  const { features, leastLeaf = 10 } = options;
  return {
    name: "single tree",
    fit(x, outcome, { seed, weights }) {
      checkFit(x, outcome, weights ? { seed, weights } : { seed });
      const table = usable(x, features);
      if (table.names.length === 0) {
        throw new RangeError("Cannot fit tree: need a feature that varies, got none");
      }
      const base = {
        seed,
        classes: 3,
        trees: 1,
        tryFeatures: table.names.length,
        leastLeaf,
        mostDepth: 4,
        bootstrap: false,
      };
      const forest = growForest(table.columns, outcome, weights ? { ...base, weights } : base);
      return forestModel("single tree", table.names, forest.trees, x.n);
    },
  };
}

export function forestModel(
  name: string,
  features: readonly string[],
  trees: readonly Tree[],
  learntFrom: number,
): Model {
  return {
    probabilities(x) {
      checkFeatureTable(x);
      const { columns } = takeFeatures(x, features);
      return floorProbabilities(forestShares({ classes: 3, trees }, columns), learntFrom);
    },
    toJSON: () =>
      modelFile({
        engine: "forest",
        name,
        learntFrom,
        features,
        parameters: { features: [...features], trees: trees.map(treeToJson) },
      }),
  };
}

function treeToJson(tree: Tree): ForestParameters["trees"][number] {
  const feature = [...tree.feature];
  return {
    feature,
    threshold: Array.from(tree.threshold, (at) => at === Infinity ? null : at),
    missingLeft: Array.from(tree.missingLeft, (side) => side === 1 ? 1 : 0),
    left: [...tree.left],
    shares: feature.flatMap((j, node) => j < 0 ? [...tree.shares.subarray(3 * node, 3 * node + 3)] : []),
  };
}

/** Rebuilds trees from a saved forest; the shares of inner nodes are not kept, since nothing asks for them. */
export function forestFrom(saved: ForestParameters, name: string, learntFrom: number): Model {
  const trees = saved.trees.map((tree): Tree => {
    const shares = new Float64Array(3 * tree.feature.length);
    let leaf = 0;
    tree.feature.forEach((j, node) => {
      if (j < 0) shares.set(tree.shares.slice(3 * leaf, 3 * ++leaf), 3 * node);
    });
    return {
      feature: Int16Array.from(tree.feature),
      threshold: Float64Array.from(tree.threshold, (at) => at ?? Infinity),
      missingLeft: Uint8Array.from(tree.missingLeft),
      left: Int32Array.from(tree.left),
      shares,
    };
  });
  return forestModel(name, saved.features, trees, learntFrom);
}
