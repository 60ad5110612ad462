import {
  absent,
  bootstrapByCluster,
  type Counts,
  type Estimate,
  present,
  shareEstimate,
  wilsonInterval,
} from "../numbers/mod.ts";

/** One observation in a cluster: what it adds to each of the sums that a statistic is made of. */
export interface Part {
  readonly cluster: string;
  readonly adds: ArrayLike<number>;
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

/** Fewest clusters that an interval is drawn from. */
export const leastClusters = 5;

const plural = (word: string, count: number): string => `${count} ${word}${count === 1 ? "" : "s"}`;

/** Why clusters cannot carry an interval, in words. */
const why = (clusters: number, word: string): string =>
  clusters < leastClusters ? `${plural(word, clusters)} only` : `${word}s show no difference`;

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
 * A statistic of sums with the percentile interval of a bootstrap of whole clusters. `statistic` gives null where it does
 * not exist. `fallback` gives the estimate where there are fewer than five clusters or the clusters show no variation;
 * without it that is an absence.
 */
export function clusteredStatistic(
  parts: readonly Part[],
  statistic: (sums: Float64Array) => number | null,
  options: ClusteredOptions & { readonly fallback?: (reason: string, n: Counts) => Estimate },
): Estimate {
  const { name, seed, level, replicates, clusterWord, undefinedBecause, fallback } = options;
  const width = parts[0]?.adds.length ?? 0;
  const clusters = sumsByCluster(parts, width);
  const n = { ...options.n, [`${clusterWord}s`]: clusters.length };
  const sums = new Float64Array(width);
  const of = (rows: ArrayLike<number>): number | null => {
    sums.fill(0);
    for (let i = 0; i < rows.length; i++) {
      const cluster = clusters[rows[i]!]!;
      for (let k = 0; k < width; k++) sums[k]! += cluster[k]!;
    }
    return statistic(sums);
  };
  const value = parts.length === 0 ? null : of(clusters.map((_, i) => i));
  if (value === null) return absent("undefined", undefinedBecause, n);
  if (clusters.length < leastClusters) {
    return fallback?.(why(clusters.length, clusterWord), n) ??
      absent("too few", `An interval needs ${plural(clusterWord, leastClusters)}, got ${clusters.length}`, n);
  }
  const estimate = bootstrapByCluster(clusters.map((_, i) => i), (rows) => of(rows) ?? NaN, {
    name,
    seed,
    level,
    replicates,
    clusterUnit: `${clusterWord}s`,
  });
  if (!("value" in estimate)) return { ...estimate, n };
  if (estimate.interval.low === estimate.interval.high) {
    return fallback?.(why(clusters.length, clusterWord), n) ??
      absent(
        "no variation",
        `The ${clusterWord}s show no difference from which an interval could be told`,
        n,
      );
  }
  return present(value, estimate.interval, n);
}

type ShareOptions = Omit<ClusteredOptions, "n" | "undefinedBecause"> & { readonly unit: string };

/**
 * The share of the units (parts: [hits, units]) with an interval by cluster. Where clusters are few or all agree, Wilson's
 * interval, which takes the units as independent, stands in and says so.
 */
export function clusteredShare(parts: readonly Part[], options: ShareOptions): Estimate {
  const { unit, level } = options;
  const [hits, units] = [0, 1].map((i) => parts.reduce((sum, part) => sum + part.adds[i]!, 0)) as [
    number,
    number,
  ];
  const none = `A share of no ${unit} does not exist`;
  if (units === 0) return absent(`no ${unit}`, none, { [unit]: 0, [`${options.clusterWord}s`]: 0 });
  return clusteredStatistic(parts, (sums) => sums[1]! > 0 ? sums[0]! / sums[1]! : null, {
    ...options,
    n: { [unit]: units },
    undefinedBecause: none,
    fallback(reason, n) {
      const share = shareEstimate(hits, units, { unit, level });
      if (!("value" in share)) return share;
      const method = `Wilson, ${unit} taken as independent (${reason})`;
      return present(share.value, { ...share.interval, method }, n);
    },
  });
}

/**
 * The share among one group minus the share among another (parts: [hits, units, hits of the other, units of the other]).
 * The stand-in is Newcombe's method 10 (Newcombe 1998, Statistics in Medicine 17:873-890): Wilson limits, squared and added.
 */
export function clusteredDifference(
  parts: readonly Part[],
  options: Omit<ClusteredOptions, "n"> & { readonly units: readonly [string, string] },
): Estimate {
  const { units, level } = options;
  const total = [0, 1, 2, 3].map((i) => parts.reduce((sum, part) => sum + part.adds[i]!, 0));
  const [a, n, b, m] = total as [number, number, number, number];
  return clusteredStatistic(
    parts,
    (sums) => sums[1]! > 0 && sums[3]! > 0 ? sums[0]! / sums[1]! - sums[2]! / sums[3]! : null,
    {
      ...options,
      n: { [units[0]]: n, [units[1]]: m },
      fallback(reason, counts) {
        const [p, q] = [a / n, b / m];
        const [one, other] = [wilsonInterval(a, n, { level }), wilsonInterval(b, m, { level })];
        return present(p - q, {
          low: p - q - Math.hypot(p - one.low, other.high - q),
          high: p - q + Math.hypot(one.high - p, q - other.low),
          level,
          method: `Newcombe's method 10, units taken as independent (${reason})`,
        }, counts);
      },
    },
  );
}
