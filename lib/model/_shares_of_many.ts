import { codeOf } from "./_code.ts";
import type { Tree } from "./_tree.ts";

interface AddShares {
  addShares(
    nodes: number,
    shares: number,
    classes: number,
    row: number,
    rows: number,
    features: number,
    sums: number,
  ): void;
}

const addShares = codeOf<AddShares>("add_shares");

/** Values handed over at once. */
const MOST_VALUES = 2 ** 22;

/** What `forestShares` gives, sums in the same order, by the compiled code of assembly/add_shares.ts. */
export function sharesOfMany(
  forest: { readonly classes: number; readonly trees: readonly Tree[] },
  columns: readonly Float64Array[],
): Float64Array {
  const n = columns[0]!.length, most = Math.ceil(MOST_VALUES / columns.length);
  const shares = new Float64Array(n * forest.classes);
  for (let from = 0; from < n; from += most) {
    const part = columns.map((column) => column.subarray(from, from + most));
    shares.set(sharesOfPart(forest, part), from * forest.classes);
  }
  return shares;
}

function sharesOfPart(
  { classes, trees }: { readonly classes: number; readonly trees: readonly Tree[] },
  columns: readonly Float64Array[],
): Float64Array {
  const n = columns[0]!.length, p = columns.length, { call, room } = addShares();
  const nodes = trees.reduce((top, { feature }) => Math.max(top, feature.length), 0);
  const rowsAt = 16, sumsAt = rowsAt + 8 * n * p, sharesAt = sumsAt + 8 * n * classes;
  const nodesAt = sharesAt + 8 * nodes * classes, memory = room(nodesAt + 16 * nodes);
  const rows = new Float64Array(memory, rowsAt, n * p), sums = new Float64Array(memory, sumsAt, n * classes);
  columns.forEach((column, j) => {
    for (let i = 0, at = j; i < n; i++, at += p) rows[at] = column[i]!;
  });
  sums.fill(0);
  const shares = new Float64Array(memory, sharesAt, nodes * classes);
  // Two views of the same nodes: two places of the one are a node, or four of the other.
  const threshold = new Float64Array(memory, nodesAt, 2 * nodes);
  const whole = new Int32Array(memory, nodesAt, 4 * nodes);
  for (const tree of trees) {
    shares.set(tree.shares);
    for (let node = 0; node < tree.feature.length; node++) {
      const feature = tree.feature[node]!, leaf = feature < 0;
      threshold[2 * node] = leaf ? Infinity : tree.threshold[node]!;
      whole[4 * node + 2] = leaf ? node : tree.left[node]!;
      whole[4 * node + 3] = leaf ? 0 : feature | (1 - tree.missingLeft[node]!) << 16;
    }
    call.addShares(nodesAt, sharesAt, classes, rowsAt, n, p, sumsAt);
  }
  return sums.map((sum) => sum / trees.length);
}
