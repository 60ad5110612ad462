import {
  absent,
  chance,
  type Counts,
  type Estimate,
  present,
  quantile,
  shareEstimate,
} from "../numbers/mod.ts";

/** One observation in a cluster: what it adds to each of the sums that a statistic is made of. */
export interface Part {
  readonly cluster: string;
  readonly adds: readonly number[];
}

export interface ClusteredOptions {
  /** Purpose of the draw, "tones/...": its own random stream. */
  readonly name: string;
  readonly seed: number;
  readonly level: number;
  readonly replicates: number;
  /** What the clusters are called in counts and method: "site", "block". */
  readonly clusterWord: string;
  readonly n: Counts;
  /** Said where the statistic does not exist. */
  readonly undefinedBecause: string;
}

/** Sums of the parts by cluster, clusters in code-unit order. */
function sumsByCluster(parts: readonly Part[], width: number): Float64Array[] {
  const byCluster = new Map<string, Float64Array>();
  for (const { cluster, adds } of parts) {
    let sums = byCluster.get(cluster);
    if (!sums) byCluster.set(cluster, sums = new Float64Array(width));
    for (let i = 0; i < width; i++) sums[i]! += adds[i]!;
  }
  return [...byCluster.keys()].sort((a, b) => a < b ? -1 : 1).map((key) => byCluster.get(key)!);
}

/**
 * A statistic of sums with the percentile interval of a bootstrap that draws whole clusters (Davison and Hinkley 1997,
 * section 3.8). `statistic` gives null where it does not exist. Replicates without a value are left out; where more than
 * one in ten is, the interval is not told. `fallback` gives the estimate where clusters cannot show any variation.
 */
export function clusteredStatistic(
  parts: readonly Part[],
  statistic: (sums: Float64Array) => number | null,
  options: ClusteredOptions & { readonly fallback?: (clusters: number) => Estimate },
): Estimate {
  const { name, seed, level, replicates, clusterWord, undefinedBecause, fallback } = options;
  const width = parts[0]?.adds.length ?? 0;
  const clusters = sumsByCluster(parts, width);
  const n = { ...options.n, [`${clusterWord}s`]: clusters.length };
  const total = new Float64Array(width);
  for (const sums of clusters) for (let i = 0; i < width; i++) total[i]! += sums[i]!;
  const value = parts.length === 0 ? null : statistic(total);
  if (value === null) return absent("undefined", undefinedBecause, n);
  if (clusters.length < 2) {
    return fallback
      ? fallback(clusters.length)
      : absent(`one ${clusterWord}`, `An interval by ${clusterWord} needs two ${clusterWord}s or more`, n);
  }
  const drawn: number[] = [];
  const sums = new Float64Array(width);
  for (let replicate = 0; replicate < replicates; replicate++) {
    const stream = chance(seed, name, replicate);
    sums.fill(0);
    for (let draw = 0; draw < clusters.length; draw++) {
      const cluster = clusters[stream.integer(clusters.length)]!;
      for (let i = 0; i < width; i++) sums[i]! += cluster[i]!;
    }
    const again = statistic(sums);
    if (again !== null) drawn.push(again);
  }
  if (drawn.length < 0.9 * replicates) {
    return absent(
      "too few",
      `In ${
        replicates - drawn.length
      } of ${replicates} redrawn sets of ${clusterWord}s the measure does not exist`,
      n,
    );
  }
  const tail = (1 - level) / 2;
  const low = quantile(drawn, tail), high = quantile(drawn, 1 - tail);
  if (low === high && fallback) return fallback(clusters.length);
  return present(value, { low, high, level, method: `bootstrap of whole ${clusterWord}s, percentiles` }, n);
}

/**
 * The share of the units (parts: [hits, units]) with an interval by cluster. Where all clusters agree, or there is one
 * only, the clusters show no variation: Wilson's interval, which takes the units as independent, stands in and says so.
 */
export function clusteredShare(
  parts: readonly Part[],
  options: Omit<ClusteredOptions, "n" | "undefinedBecause"> & { readonly unit: string },
): Estimate {
  const { unit, level, clusterWord } = options;
  const hits = parts.reduce((sum, part) => sum + part.adds[0]!, 0);
  const units = parts.reduce((sum, part) => sum + part.adds[1]!, 0);
  return clusteredStatistic(parts, (sums) => sums[1]! > 0 ? sums[0]! / sums[1]! : null, {
    ...options,
    n: { [unit]: units },
    undefinedBecause: `A share of no ${unit} does not exist`,
    fallback(clusters) {
      const share = shareEstimate(hits, units, { unit, level, counts: { [`${clusterWord}s`]: clusters } });
      if (!("value" in share)) return share;
      const why = clusters < 2 ? `one ${clusterWord}` : `${clusterWord}s show no difference`;
      return present(
        share.value,
        { ...share.interval, method: `Wilson, ${unit} taken as independent (${why})` },
        { [unit]: units, [`${clusterWord}s`]: clusters },
      );
    },
  });
}
