import type { Estimate } from "../numbers/mod.ts";
import { kappaOf } from "./_agreement.ts";
import { clusteredShare, clusteredStatistic, type Part } from "./_clustered.ts";
import type { BandEntry } from "./band_table.ts";

/** How far two statements of a band agree. */
export interface BandAgreement {
  /** Share in one and the same band, 0 to 1. */
  readonly same: Estimate;
  /** Cohen's kappa: agreement beyond what the row and column totals give by themselves; 0 none, 1 full. */
  readonly kappa: Estimate;
  /** Kappa with a disagreement weighed by the number of bands between the two (linear weights). */
  readonly weightedKappa: Estimate;
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
 * Both are absent where everything falls in one band, with fewer than five clusters, and where the clusters show no
 * difference from which an interval could be told; the share in the same band then has Wilson's interval.
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
  const one = (weights: "equal" | "linear"): Estimate => {
    const word = weights === "linear" ? "Weighted kappa" : "Kappa";
    return clusteredStatistic(parts, (sums) => kappaOf(sums, bands, weights), {
      name: `tones/kappa-${weights}`,
      seed,
      level,
      replicates,
      clusterWord,
      n: { [unit]: n },
      undefinedBecause: n === 0
        ? `${word} of no ${unit} does not exist`
        : `${word} does not exist where everything lies in one band`,
    });
  };
  return { same, kappa: one("equal"), weightedKappa: one("linear") };
}
