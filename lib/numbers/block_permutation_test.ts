import { checkSameLength, checkValues } from "./_check_values.ts";
import { clusterRows } from "./_cluster_rows.ts";
import { chance } from "./chance.ts";
import { type Absent, absent } from "./estimate.ts";

export interface BlockPermutationTestOptions {
  /** 1 for treated and 0 for not, one a row. */
  readonly treated: ArrayLike<number>;
  /** The block of each row, a name or a number. */
  readonly block: ArrayLike<number | string>;
  /** Most assignments that are all counted. Default 200000. */
  readonly mostExact?: number;
  /** Assignments drawn where there are more. Default 20000. */
  readonly replicates?: number;
  /** Seed of the draws; needed where there are more than `mostExact`. */
  readonly seed?: number;
  /** Name of the stream of chance. Default "numbers/block-permutation". */
  readonly name?: string;
}

/** Where the treated-minus-untreated difference stands among those of other assignments within blocks. */
export interface BlockPermutationResult {
  /** Mean over blocks of the difference of means, weighted by the rows of the block. */
  readonly difference: number;
  readonly assignments: number;
  readonly atLeast: number;
  readonly twoSided: number;
  readonly p: number;
  readonly pTwoSided: number;
  readonly exact: boolean;
}

/**
 * Tests a treatment that was assigned at random within blocks, by going through the assignments that could have been.
 *
 * @param values Finite numbers, one a row.
 * @returns Counts and p values, 0 to 1; absent where no block holds both treated and untreated rows. Blocks with one kind alone are left
 * out. Differences count as equal within 1e-9 of the range of the values.
 *
 * Source: Fisher (1935), The Design of Experiments; Lehmann (1975), Nonparametrics, chapter 3.
 * Throws RangeError for columns of different length, values that are not finite, or draws without a seed.
 *
 * @example
 * ```ts
 * import { blockPermutationTest } from "overiron";
 * const test = blockPermutationTest([2, 1, 4, 1], { treated: [1, 0, 1, 0], block: ["A", "A", "B", "B"] });
 * if (!("pTwoSided" in test) || test.pTwoSided !== 0.5) throw new Error("wrong");
 * ```
 */
export function blockPermutationTest(
  values: ArrayLike<number>,
  options: BlockPermutationTestOptions,
): BlockPermutationResult | Absent {
  const { treated, block, mostExact = 200_000, replicates = 20_000, seed } = options;
  const { name = "numbers/block-permutation" } = options;
  const doing = "permute within blocks";
  checkValues(doing, values, 0);
  checkSameLength(doing, ["values", "treated"], [values.length, treated.length]);
  checkSameLength(doing, ["values", "block"], [values.length, block.length]);
  const blocks = clusterRows(block).map((rows) => {
    const picked: number[] = [];
    let sum = 0;
    rows.forEach((row, place) => {
      if (treated[row] !== 0 && treated[row] !== 1) {
        throw new RangeError(`Cannot ${doing}: treated must be 0 or 1, got ${treated[row]} at index ${row}`);
      }
      if (treated[row] === 1) picked.push(place);
      sum += values[row]!;
    });
    return { values: Float64Array.from(rows, (row) => values[row]!), picked, sum };
  }).filter(({ values, picked }) => picked.length > 0 && picked.length < values.length);
  const used = blocks.reduce((sum, one) => sum + one.values.length, 0);
  if (blocks.length === 0) {
    return absent("undefined", "No block holds both treated and untreated rows", { rows: values.length });
  }
  /** What a block adds to the difference when some of its places are treated. */
  const part = (one: typeof blocks[number], places: readonly number[]): number => {
    const k = places.length, size = one.values.length;
    let sum = 0;
    for (const place of places) sum += one.values[place]!;
    return (sum / k - (one.sum - sum) / (size - k)) * size / used;
  };
  const seen = blocks.reduce((sum, one) => sum + part(one, one.picked), 0);
  let low = Infinity, high = -Infinity;
  for (const one of blocks) {
    for (const value of one.values) [low, high] = [Math.min(low, value), Math.max(high, value)];
  }
  const slack = 1e-9 * (high - low);
  let atLeast = 0, twoSided = 0;
  const look = (difference: number): void => {
    if (difference >= seen - slack) atLeast++;
    if (Math.abs(difference) >= Math.abs(seen) - slack) twoSided++;
  };
  const all = blocks.reduce((product, one) => product * choose(one.values.length, one.picked.length), 1);
  const exact = all <= mostExact;
  const assignments = exact ? all : replicates + 1;
  if (exact) {
    const parts = blocks.map((one) =>
      subsets(one.values.length, one.picked.length).map((places) => part(one, places))
    );
    const visit = (at: number, sum: number): void => {
      if (at === parts.length) look(sum);
      else for (const value of parts[at]!) visit(at + 1, sum + value);
    };
    visit(0, 0);
  } else {
    if (seed === undefined) {
      throw new RangeError(`Cannot ${doing}: ${all} assignments need a seed to draw from, got none`);
    }
    look(seen);
    for (let replicate = 0; replicate < replicates; replicate++) {
      const draw = chance(seed, name, replicate);
      look(blocks.reduce((sum, one) => {
        const places = draw.shuffle(Array.from(one.values.keys())).slice(0, one.picked.length);
        return sum + part(one, places);
      }, 0));
    }
  }
  return {
    difference: seen,
    assignments,
    atLeast,
    twoSided,
    p: atLeast / assignments,
    pTwoSided: twoSided / assignments,
    exact,
  };
}

function choose(n: number, k: number): number {
  let out = 1;
  for (let i = 1; i <= k; i++) out = Math.round(out * (n - k + i) / i);
  return out;
}

function subsets(n: number, k: number, from = 0): number[][] {
  if (k === 0) return [[]];
  const out: number[][] = [];
  for (let i = from; i <= n - k; i++) for (const rest of subsets(n, k - 1, i + 1)) out.push([i, ...rest]);
  return out;
}
