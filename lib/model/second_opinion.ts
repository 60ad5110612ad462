import { z } from "zod";
import { chance } from "../numbers/mod.ts";
import {
  checkFit,
  type Classifier,
  floorProbabilities,
  type Model,
  modelFile,
  outcomeCountsOf,
} from "./classifier.ts";
import { designColumnSchema, fillDesign, learnDesign } from "./_design.ts";
import { checkFeatureTable, takeFeatures } from "./feature_table.ts";
import { READING_FEATURES } from "./features.ts";

const name = "ml-random-forest";
const MOST_ROWS = 300, MOST_TREES = 50;

interface PackageNode {
  splitColumn?: number;
  splitValue?: number;
  left?: PackageNode;
  right?: PackageNode;
  distribution?: unknown;
}

/** One tree in flat lists: the column of the split (-1 at a leaf), its value, where the lesser side stands, the vote. */
const voteTreeSchema = z.strictObject({
  column: z.array(z.number().int()),
  value: z.array(z.number()),
  left: z.array(z.number().int()),
  vote: z.array(z.number().int().min(-1).max(2)),
}).refine(
  ({ column, value, left, vote }) =>
    column.length > 0 && [value, left, vote].every((list) => list.length === column.length) &&
    column.every((j, node) =>
      j < 0 ? vote[node]! >= 0 : left[node]! > node && left[node]! + 1 < column.length
    ),
  { message: "A tree's lists must fit together and lead downwards" },
);
type VoteTree = z.infer<typeof voteTreeSchema>;

export const secondOpinionParametersSchema = z.strictObject({
  design: z.array(designColumnSchema),
  trees: z.array(voteTreeSchema).min(1),
}).refine(({ design, trees }) => trees.every((tree) => tree.column.every((j) => j < design.length)), {
  message: "A tree asks for a column that is not there",
});
export type SecondOpinionParameters = z.infer<typeof secondOpinionParametersSchema>;

/** Options of {@link secondOpinion}. */
export interface SecondOpinionOptions {
  /** Feature names. Default: those of `READING_FEATURES` that the table has. */
  readonly features?: readonly string[];
  /** Trees, 1 to 50. Default 50. */
  readonly trees?: number;
  /** Most signals learnt from, 10 to 300: the package is quadratic in them. Default 300. */
  readonly mostRows?: number;
}

function flatten(root: PackageNode, codes: readonly number[], columns: readonly number[]): VoteTree {
  const tree: VoteTree = { column: [], value: [], left: [], vote: [] };
  const queue: PackageNode[] = [root];
  for (let at = 0; at < queue.length; at++) {
    const node = queue[at]!;
    const split = node.left !== undefined && node.right !== undefined;
    tree.column.push(split ? columns[node.splitColumn!]! : -1);
    tree.value.push(split ? node.splitValue! : 0);
    tree.left.push(split ? queue.length : 0);
    if (split) queue.push(node.left!, node.right!);
    const rows = node.distribution as number[][] | undefined;
    const shares = split || !rows ? [] : [...rows[0]!];
    tree.vote.push(split ? -1 : codes[shares.indexOf(Math.max(...shares))]!);
  }
  return tree;
}

/**
 * Loads the package ml-random-forest (2.1.0, mljs) and gives it as an engine, as a second opinion beside our own models.
 *
 * It is used around its faults: labels are numbered without gaps; missing values never reach it (columns
 * are standardised and missing cells filled with the mean); every tree sees every feature once, since the package draws features a tree and
 * not a split; its out-of-bag scores and its probabilities, both wrong, are never asked for: probabilities are the shares of
 * its trees' votes, counted here. It is quadratic in rows, so above `mostRows` rows a random draw of so many is learnt from, at least three of
 * every outcome where there are so many; rows are put in an order of their own first, since its trees depend on it.
 *
 * `fit` throws RangeError for weights, which the package cannot use, and for fewer than 10 rows.
 *
 * @example
 * ```ts
 * import { secondOpinion } from "overiron";
 * if ((await secondOpinion({ trees: 5 })).name !== "ml-random-forest") throw new Error("wrong name");
 * ```
 */
export async function secondOpinion(options: SecondOpinionOptions = {}): Promise<Classifier> {
  const { features, trees = MOST_TREES, mostRows = MOST_ROWS } = options;
  if (!Number.isSafeInteger(trees) || trees < 1 || trees > MOST_TREES) {
    throw new RangeError(`Cannot ask a second opinion: trees must be from 1 to ${MOST_TREES}, got ${trees}`);
  }
  if (!Number.isSafeInteger(mostRows) || mostRows < 10 || mostRows > MOST_ROWS) {
    throw new RangeError(
      `Cannot ask a second opinion: mostRows must be from 10 to ${MOST_ROWS}, got ${mostRows}`,
    );
  }
  const { RandomForestClassifier } = await import("ml-random-forest");
  return {
    name,
    fit(x, outcome, fitting) {
      checkFit(x, outcome, fitting);
      if (fitting.weights) {
        throw new RangeError(
          `Cannot fit ${name}: ml-random-forest cannot use weights, got ${fitting.weights.length}`,
        );
      }
      if (x.n < 10) throw new RangeError(`Cannot fit ${name}: need 10 signals or more, got ${x.n}`);
      const used = features ?? READING_FEATURES.filter((feature) => x.names.includes(feature));
      const table = takeFeatures(x, used);
      const design = learnDesign(table, new Float64Array(x.n).fill(1)).filter(({ reason }) => reason === 0);
      const filled = fillDesign(design, table, name), p = design.length;
      if (p === 0) throw new RangeError(`Cannot fit ${name}: need a feature that varies, got none`);
      const order = Array.from({ length: x.n }, (_, i) => i).sort((a, b) => {
        for (let j = 0; j < p; j++) {
          const gap = filled[a * p + j]! - filled[b * p + j]!;
          if (gap !== 0) return gap;
        }
        return outcome[a]! - outcome[b]!;
      });
      const rows = drawRows(order, outcome, { seed: fitting.seed, mostRows });
      const counts = outcomeCountsOf(Uint8Array.from(rows, (row) => outcome[row]!));
      const codes = [0, 1, 2].filter((code) => counts[code as 0 | 1 | 2] > 0);
      const forest = new RandomForestClassifier(
        {
          seed: fitting.seed % 2147483647,
          nEstimators: trees,
          maxFeatures: 1.0,
          replacement: false,
          useSampleBagging: true,
          noOOB: true,
          treeOptions: { gainThreshold: 0, minNumSamples: 3 },
        } as ConstructorParameters<typeof RandomForestClassifier>[0],
      );
      forest.train(
        rows.map((row) => [...filled.subarray(row * p, (row + 1) * p)]),
        rows.map((row) => codes.indexOf(outcome[row]!)),
      );
      const base = JSON.parse(JSON.stringify(forest.toJSON())).baseModel as {
        indexes: number[][];
        estimators: { root: PackageNode }[];
      };
      const grown = base.estimators.map(({ root }, t) => flatten(root, codes, base.indexes[t]!));
      return secondOpinionModel({ design, trees: grown }, x.n);
    },
  };
}

function drawRows(
  order: readonly number[],
  outcome: Uint8Array,
  { seed, mostRows }: { readonly seed: number; readonly mostRows: number },
): number[] {
  if (order.length <= mostRows) return [...order];
  const shuffled = chance(seed, "model/second opinion").shuffle(order);
  const chosen = new Set<number>();
  for (const code of [0, 1, 2]) {
    for (const row of shuffled.filter((each) => outcome[each] === code).slice(0, 3)) chosen.add(row);
  }
  for (const row of shuffled) if (chosen.size < mostRows) chosen.add(row);
  return order.filter((row) => chosen.has(row));
}

export function secondOpinionModel(parameters: SecondOpinionParameters, learntFrom: number): Model {
  const { design, trees } = parameters;
  return {
    probabilities(x) {
      checkFeatureTable(x);
      const filled = fillDesign(design, x, name), p = design.length;
      const out = new Float64Array(3 * x.n);
      for (let i = 0; i < x.n; i++) {
        for (const tree of trees) {
          let node = 0;
          for (let j = tree.column[0]!; j >= 0; j = tree.column[node]!) {
            node = tree.left[node]! + (filled[i * p + j]! < tree.value[node]! ? 0 : 1);
          }
          out[3 * i + tree.vote[node]!]! += 1 / trees.length;
        }
      }
      return floorProbabilities(out, learntFrom);
    },
    toJSON: () =>
      modelFile({
        engine: "ml-random-forest",
        name,
        learntFrom,
        features: [...new Set(design.map((column) => column.feature))],
        parameters,
      }),
  };
}
