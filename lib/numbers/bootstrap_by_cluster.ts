import { checkCount, checkLevel } from "./_check_values.ts";
import { clusterRows } from "./_cluster_rows.ts";
import { chance } from "./chance.ts";
import { absent, type Counts, type Estimate, present } from "./estimate.ts";
import type { Measure } from "./measure.ts";
import { normalProbability, normalQuantile } from "./normal_distribution.ts";
import { quantile } from "./quantile.ts";

/** A number computed from some rows, given by their indices; repeats count. Absent or not finite where it does not exist. */
export type RowStatistic = (rows: Int32Array) => number | Measure;

export interface BootstrapByClusterOptions {
  /** Seed of the run. */
  readonly seed: number;
  /** Name of the stream of chance, "room/purpose". */
  readonly name: string;
  /** Number of resamples, 100 or above. Default 2000. */
  readonly replicates?: number;
  /** Level, above 0 and below 1. Default 0.95. */
  readonly level?: number;
  /** "percentile", or "bca" for bias-corrected and accelerated limits. Default "percentile". */
  readonly interval?: "percentile" | "bca";
  /** Fewest clusters for which an interval is given. Default 5: with fewer the resamples are too few to tell. */
  readonly leastClusters?: number;
  /** Largest share of resamples in which the statistic may not exist. Default 0.05. */
  readonly mostUndefined?: number;
  /** Name of the cluster in the counts. Default "clusters". */
  readonly clusterUnit?: string;
  /** Name of the row in the counts. Default "rows". */
  readonly rowUnit?: string;
}

/**
 * Gives a statistic with an interval from resampling whole clusters, for rows that come in groups (signals of one site).
 *
 * @param clusterIds The cluster of each row, a name or a number.
 * @param statistic Computes the number from row indices. It is called once with all rows in order, then once a resample, and for
 * "bca" once with each cluster left out.
 * @returns The statistic of all rows with its interval and the counts of rows and clusters; absent with too few clusters, where the
 * statistic itself is, or where it does not exist in more than a set share of the resamples (below that share they are left out).
 * Replicate i draws from `chance(seed, name, i)` alone.
 *
 * Limits are quantiles of type 6 of the replicates. BCa: Efron (1987), JASA 82:171-185, with half of the ties counted below and the
 * acceleration from the jackknife over clusters. Whole clusters: Davison and Hinkley (1997), Bootstrap Methods, section 3.8.
 *
 * Throws RangeError for options outside their ranges.
 *
 * @example
 * ```ts
 * import { bootstrapByCluster, isPresent } from "overiron";
 * const values = [1, 2, 2, 3, 3, 4, 4, 5, 5, 6];
 * const sites = ["A", "A", "B", "B", "C", "C", "D", "D", "E", "E"];
 * const mean = (rows: Int32Array) => rows.reduce((sum, row) => sum + values[row]!, 0) / rows.length;
 * const estimate = bootstrapByCluster(sites, mean, { seed: 1, name: "example/mean", rowUnit: "signals" });
 * if (!isPresent(estimate) || estimate.value !== 3.5 || estimate.n.clusters !== 5) throw new Error("wrong");
 * ```
 */
export function bootstrapByCluster(
  clusterIds: ArrayLike<number | string>,
  statistic: RowStatistic,
  options: BootstrapByClusterOptions,
): Estimate {
  const { level = 0.95, interval = "percentile", leastClusters = 5, mostUndefined = 0.05 } = options;
  const { clusterUnit = "clusters", rowUnit = "rows", replicates = 2000 } = options;
  const clusters = clusterRows(clusterIds);
  const n: Counts = { [rowUnit]: clusterIds.length, [clusterUnit]: clusters.length };
  checkLevel("bootstrap", level);
  checkCount("bootstrap", "leastClusters", leastClusters);
  if (replicates < 100) {
    throw new RangeError(`Cannot bootstrap: replicates must be 100 or above, got ${replicates}`);
  }
  if (clusters.length === 0) return absent("no rows", "There is nothing to resample", n);
  const whole = statistic(Int32Array.from({ length: clusterIds.length }, (_, i) => i));
  if (typeof whole === "object" && "absent" in whole) return absent(whole.absent, whole.reason, n);
  const value = asNumber(whole);
  if (!Number.isFinite(value)) return absent("undefined", "The statistic does not exist for these rows", n);
  if (clusters.length < leastClusters) {
    return absent(
      "too few",
      `An interval needs at least ${leastClusters} ${clusterUnit}, got ${clusters.length}`,
      n,
    );
  }
  const all = bootstrapReplicates(clusterIds, statistic, options);
  const draws = all.filter(Number.isFinite);
  const lost = all.length - draws.length;
  if (lost > mostUndefined * all.length) {
    return absent("unstable", `The statistic does not exist in ${lost} of ${all.length} resamples`, n);
  }
  const tail = (1 - level) / 2;
  const method = `${
    interval === "bca" ? "BCa" : "percentile"
  } bootstrap of whole ${clusterUnit}, ${draws.length} resamples`;
  const limits = (low: number, high: number): Estimate =>
    present(value, {
      low: quantile(draws, low, { type: 6 }),
      high: quantile(draws, high, { type: 6 }),
      level,
      method,
    }, n);
  if (interval === "percentile") return limits(tail, 1 - tail);
  const levels = bcaLevels(draws, value, jackknifeByCluster(clusters, statistic), tail);
  if (levels === undefined) {
    return absent(
      "undefined",
      "BCa limits do not exist: the statistic lies outside its resamples or cannot spare a cluster",
      n,
    );
  }
  return limits(...levels);
}

/**
 * Gives the value of a statistic in each resample of whole clusters.
 *
 * @param clusterIds The cluster of each row, a name or a number.
 * @param statistic Computes the number from row indices.
 * @returns One number a replicate in order, NaN where the statistic does not exist: for standard errors and histograms, not for results.
 *
 * Throws RangeError for replicates that are not a whole number of 1 or above.
 *
 * @example
 * ```ts
 * import { bootstrapReplicates } from "overiron";
 * const draws = bootstrapReplicates([1, 2], (rows) => rows[0]!, { seed: 1, name: "example/draws", replicates: 3 });
 * if (draws.length !== 3) throw new Error("wrong");
 * ```
 */
export function bootstrapReplicates(
  clusterIds: ArrayLike<number | string>,
  statistic: RowStatistic,
  options: Pick<BootstrapByClusterOptions, "seed" | "name" | "replicates">,
): Float64Array {
  const { seed, name, replicates = 2000 } = options;
  if (!Number.isSafeInteger(replicates) || replicates < 1) {
    throw new RangeError(
      `Cannot bootstrap: replicates must be a whole number of 1 or above, got ${replicates}`,
    );
  }
  const clusters = clusterRows(clusterIds);
  return Float64Array.from({ length: replicates }, (_, i) => {
    const draw = chance(seed, name, i);
    return asNumber(statistic(joined(clusters.map(() => clusters[draw.integer(clusters.length)]!))));
  });
}

/** The statistic with each cluster left out in turn. */
function jackknifeByCluster(clusters: readonly Int32Array[], statistic: RowStatistic): number[] {
  return clusters.map((_, left) => asNumber(statistic(joined(clusters.filter((_, i) => i !== left)))));
}

/** The levels at which BCa reads off its limits. */
function bcaLevels(
  draws: Float64Array,
  value: number,
  jackknife: readonly number[],
  tail: number,
): [number, number] | undefined {
  let below = 0;
  for (const draw of draws) below += draw < value ? 1 : draw === value ? 0.5 : 0;
  if (below === 0 || below === draws.length || !jackknife.every(Number.isFinite)) return undefined;
  const bias = normalQuantile(below / draws.length);
  const acceleration = jackknifeAcceleration(jackknife);
  const level = (z: number): number => normalProbability(bias + (bias + z) / (1 - acceleration * (bias + z)));
  const z = normalQuantile(tail);
  return [level(z), level(-z)];
}

/** Efron's acceleration: a sixth of the skewness of the jackknife values, turned round. */
export function jackknifeAcceleration(jackknife: readonly number[]): number {
  const centre = jackknife.reduce((sum, x) => sum + x, 0) / jackknife.length;
  let squares = 0, cubes = 0;
  for (const x of jackknife) {
    squares += (centre - x) ** 2;
    cubes += (centre - x) ** 3;
  }
  return squares === 0 ? 0 : cubes / (6 * squares ** 1.5);
}

function asNumber(result: number | Measure): number {
  return typeof result === "number" ? result : "value" in result ? result.value : NaN;
}

function joined(parts: readonly Int32Array[]): Int32Array {
  const rows = new Int32Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    rows.set(part, at);
    at += part.length;
  }
  return rows;
}
