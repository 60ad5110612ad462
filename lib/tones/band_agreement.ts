import { type Absent, absent, type Estimate } from "../numbers/mod.ts";
import { kappaOf } from "./_agreement.ts";
import { clusteredShare, clusteredStatistic, type Part } from "./_clustered.ts";
import type { BandEntry } from "./band_table.ts";
import { type SymmetryTest, symmetryTest } from "./symmetry_test.ts";

/** How far two statements of a band agree. */
export interface BandAgreement {
  /** Share in one and the same band, 0 to 1. */
  readonly same: Estimate;
  /** Cohen's kappa: agreement beyond what the row and column totals give by themselves; 0 none, 1 full. */
  readonly kappa: Estimate;
  /** Kappa with a disagreement weighed by the number of bands between the two (linear weights). */
  readonly weightedKappa: Estimate;
  /** Share that keeps its band, each band of the rows counting alike: the mean over the bands in which a row lies. 0 to 1. */
  readonly balancedAccuracy: Estimate;
  /** Of the entries in two different bands, the share whose column is the lower of the two; one half where moves are even. */
  readonly movedDown: Estimate;
  /** Bowker's test that moves go as often one way as the other; takes the entries as independent. */
  readonly symmetry: SymmetryTest | Absent;
}

/** Options of `bandAgreement`. */
export interface BandAgreementOptions {
  /** How many bands there are: entries with a row or column from there on (silent, unknown) are left out. */
  readonly bands: number;
  /** What is counted: "trials", "signals". */
  readonly unit: string;
  /** What a cluster is called: "site", "block". */
  readonly clusterWord: string;
  /** Seed of the bootstrap. Default 1. */
  readonly seed?: number;
  /** Level of the intervals. Default 0.95. */
  readonly level?: number;
  /** Replicates of the bootstrap. Default 1000. */
  readonly replicates?: number;
}

/**
 * Measures how far rows and columns of a band table agree, with intervals from a bootstrap of whole clusters.
 *
 * Kappa: Cohen (1960), Educ. Psychol. Meas. 20:37; weighted kappa with linear weights: Cohen (1968), Psychol. Bull. 70:213.
 * Both are absent where one side lies in one band alone (kappa is then 0 or does not exist, whatever the other side says),
 * with fewer than five clusters, and where the clusters show no difference from which an interval could be told; shares
 * then have Wilson's interval. Balanced accuracy: Brodersen et al. (2010), 20th Int. Conf. on Pattern Recognition, 3121,
 * over the bands that occur among the rows, however few.
 *
 * Throws RangeError unless there is at least one band.
 *
 * @example
 * ```ts
 * import { bandAgreement } from "overiron";
 * const entries = ["a", "b", "c"].flatMap((cluster) => [{ row: 0, column: 0, count: 3, cluster }, { row: 1, column: 1, count: 3, cluster }]);
 * const { same } = bandAgreement(entries, { bands: 2, unit: "trials", clusterWord: "block" });
 * if (!("value" in same) || same.value !== 1) throw new Error("full agreement");
 * ```
 */
export function bandAgreement(entries: readonly BandEntry[], options: BandAgreementOptions): BandAgreement {
  const { bands, unit, clusterWord, seed = 1, level = 0.95, replicates = 1000 } = options;
  if (!Number.isSafeInteger(bands) || bands < 1) {
    throw new RangeError(`Cannot measure agreement: need 1 band or more, got ${bands}`);
  }
  const both = entries.filter(({ row, column }) => row < bands && column < bands);
  const n = both.reduce((sum, { count }) => sum + count, 0);
  const same = clusteredShare(
    both.map(({ row, column, count, cluster }) => ({ cluster, adds: [row === column ? count : 0, count] })),
    { name: "tones/same-band", seed, level, replicates, clusterWord, unit },
  );
  const tables = new Map<string, Float64Array>();
  for (const { row, column, count, cluster } of both) {
    let table = tables.get(cluster);
    if (!table) tables.set(cluster, table = new Float64Array(bands * bands));
    table[row * bands + column]! += count;
  }
  const parts: Part[] = [...tables].map(([cluster, table]) => ({ cluster, adds: table }));
  const shared = { seed, level, replicates, clusterWord, n: { [unit]: n } };
  const filled = both.filter(({ count }) => count > 0);
  const rows = new Set(filled.map(({ row }) => row)), columns = new Set(filled.map(({ column }) => column));
  const oneSided = (rows.size === 1) !== (columns.size === 1) ||
    (rows.size === 1 && ![...rows].every((row) => columns.has(row)));
  const one = (weights: "equal" | "linear"): Estimate => {
    const word = weights === "linear" ? "Weighted kappa" : "Kappa";
    if (oneSided) {
      return absent("undefined", `${word} is 0 whatever happens where one side lies in one band alone`, {
        [unit]: n,
        [`${clusterWord}s`]: tables.size,
      });
    }
    return clusteredStatistic(parts, (sums) => kappaOf(sums, bands, weights), {
      ...shared,
      name: `tones/kappa-${weights}`,
      undefinedBecause: n === 0
        ? `${word} of no ${unit} does not exist`
        : `${word} does not exist where everything lies in one band`,
    });
  };
  const moved = both.filter(({ row, column }) => row !== column);
  const counts = Array.from({ length: bands }, () => Array.from({ length: bands }, () => 0));
  for (const { row, column, count } of both) counts[row]![column]! += count;
  return {
    same,
    kappa: one("equal"),
    weightedKappa: one("linear"),
    balancedAccuracy: rows.size === 1 ? same : clusteredStatistic(
      parts,
      (sums) => meanOfRowShares(sums, bands, rows),
      {
        ...shared,
        name: "tones/balanced-accuracy",
        undefinedBecause: `A share of no ${unit} does not exist`,
      },
    ),
    movedDown: clusteredShare(
      moved.map(({ row, column, count, cluster }) => ({ cluster, adds: [column < row ? count : 0, count] })),
      { name: "tones/moved-down", seed, level, replicates, clusterWord, unit },
    ),
    symmetry: symmetryTest(counts),
  };
}

/** The mean over the given rows of the share on the diagonal; null where one of them has no count. */
function meanOfRowShares(sums: ArrayLike<number>, k: number, rows: ReadonlySet<number>): number | null {
  let total = 0;
  for (const row of rows) {
    let all = 0;
    for (let j = 0; j < k; j++) all += sums[row * k + j]!;
    if (all === 0) return null;
    total += sums[row * k + row]! / all;
  }
  return rows.size === 0 ? null : total / rows.size;
}
