import { type Estimate, shareEstimate } from "../numbers/mod.ts";
import { clusteredShare, type Part } from "./_clustered.ts";

/** A table of counts with row shares: what a confusion matrix is made of. */
export interface BandTable {
  /** What it is about: machine, discrimination, and what narrows it further. */
  readonly of: Readonly<Record<string, string>>;
  /** What one count is. Passes of one signal or trial are not independent: they are never mixed with signals. */
  readonly unit: "trials" | "passes" | "signals";
  readonly rows: readonly string[];
  readonly columns: readonly string[];
  /** One row of counts a row name. */
  readonly counts: readonly (readonly number[])[];
  readonly n: number;
  /** Share of the row that each cell holds, 0 to 1; absent in a row without a count. */
  readonly shares: readonly (readonly Estimate[])[];
}

/** One thing to count: where it falls, how often, and the cluster it comes from. */
export interface BandEntry {
  readonly row: number;
  readonly column: number;
  /** Whole number, 1 where one thing is counted. */
  readonly count: number;
  /** The site, block, signal or trial that it shares with others: needed for intervals of passes. */
  readonly cluster: string;
}

/** Options of `bandTable`. */
export interface BandTableOptions {
  readonly of: Readonly<Record<string, string>>;
  readonly unit: BandTable["unit"];
  readonly rows: readonly string[];
  readonly columns: readonly string[];
  /** Seed of the bootstrap: passes only. Default 1. */
  readonly seed?: number;
  /** Level of the intervals. Default 0.95. */
  readonly level?: number;
  /** Replicates of the bootstrap: passes only. Default 500. */
  readonly replicates?: number;
  /** What a cluster is called. Default "group". */
  readonly clusterWord?: string;
}

/**
 * Counts entries into a table and gives each row's shares with intervals.
 *
 * Trials and signals get Wilson's interval, which takes them as independent; passes get a bootstrap of whole clusters,
 * and Wilson's where the clusters show no difference (the method says which).
 *
 * Throws RangeError for a row, column or count out of range.
 *
 * @example
 * ```ts
 * import { bandTable } from "overiron";
 * const table = bandTable([{ row: 0, column: 1, count: 1, cluster: "a" }],
 *   { of: {}, unit: "trials", rows: ["low"], columns: ["iron", "low"] });
 * if (table.counts[0]!.join() !== "0,1" || !("value" in table.shares[0]![1]!)) throw new Error("wrong");
 * ```
 */
export function bandTable(entries: readonly BandEntry[], options: BandTableOptions): BandTable {
  const { of, unit, rows, columns, seed = 1, level = 0.95, replicates = 500, clusterWord = "group" } =
    options;
  const counts = rows.map(() => columns.map(() => 0));
  for (const { row, column, count } of entries) {
    if (!(row in counts) || !(column in columns)) {
      throw new RangeError(
        `Cannot count: need a row below ${rows.length} and a column below ${columns.length}, got ${row}, ${column}`,
      );
    }
    if (!Number.isSafeInteger(count) || count < 0) {
      throw new RangeError(`Cannot count: a count is a whole number of 0 or above, got ${count}`);
    }
    counts[row]![column]! += count;
  }
  const shares = counts.map((line, row) => {
    const all = line.reduce((sum, count) => sum + count, 0);
    if (unit !== "passes" || all === 0) {
      return line.map((count) => shareEstimate(count, all, { unit, level }));
    }
    const own = entries.filter((entry) => entry.row === row);
    return line.map((_, column) => {
      const parts: Part[] = own.map((entry) => ({
        cluster: entry.cluster,
        adds: [entry.column === column ? entry.count : 0, entry.count],
      }));
      return clusteredShare(parts, { name: "tones/cells", seed, level, replicates, clusterWord, unit });
    });
  });
  return { of, unit, rows, columns, counts, n: counts.flat().reduce((sum, count) => sum + count, 0), shares };
}
