import { checkLevel, checkSameLength, checkValues } from "./_check_values.ts";
import { clusterRows } from "./_cluster_rows.ts";
import { absent, type Counts, type Estimate, present } from "./estimate.ts";
import { mean } from "./mean.ts";
import { studentQuantile } from "./student_distribution.ts";

export interface ClusterRobustOptions {
  /** Level, above 0 and below 1. Default 0.95. */
  readonly level?: number;
  /** Fewest clusters for which an interval is given, 2 or above. Default 2. */
  readonly leastClusters?: number;
  /** Name of the cluster in the counts. Default "clusters". */
  readonly clusterUnit?: string;
  /** Name of the row in the counts. Default "rows". */
  readonly rowUnit?: string;
}

/**
 * Gives a mean whose interval allows for rows of one cluster being alike.
 *
 * @param values Finite numbers, one a row; leave missing values out first.
 * @param clusterIds The cluster of each row, a name or a number.
 * @returns The mean in the unit of the values; absent without rows or with too few clusters. Interval: t with clusters less one
 * degrees of freedom on the sandwich standard error, times G / (G - 1) in the variance (CR1).
 *
 * Source: Liang and Zeger (1986), Biometrika 73:13-22; Cameron and Miller (2015), Journal of Human Resources 50:317-372.
 * Throws RangeError for columns of different length, a value that is not finite, or a level outside 0 to 1.
 *
 * @example
 * ```ts
 * import { clusterRobustMean, isPresent } from "overiron";
 * const estimate = clusterRobustMean([1, 3, 2, 4], ["A", "A", "B", "B"]);
 * if (!isPresent(estimate) || estimate.value !== 2.5) throw new Error("wrong");
 * ```
 */
export function clusterRobustMean(
  values: ArrayLike<number>,
  clusterIds: ArrayLike<number | string>,
  options: ClusterRobustOptions = {},
): Estimate {
  checkSameLength("take a mean by cluster", ["values", "cluster ids"], [values.length, clusterIds.length]);
  checkValues("take a mean by cluster", values, 0);
  if (values.length === 0) {
    return absent("no rows", "There is nothing to take a mean of", countsOf(clusterIds, options));
  }
  const centre = mean(values);
  return robustEstimate(
    centre,
    Float64Array.from(values, (value) => (value - centre) / values.length),
    clusterIds,
    options,
  );
}

/**
 * Gives the difference of two means, second group minus first, whose interval allows for rows of one cluster being alike.
 *
 * @param values Finite numbers, one a row; leave missing values out first.
 * @param clusterIds The cluster of each row; a cluster may hold rows of both groups.
 * @param options `group` says for each row whether it belongs to the first (0) or second (1) group.
 * @returns The difference in the unit of the values; absent where a group is empty or with too few clusters. Interval as in
 * `clusterRobustMean`.
 *
 * Throws RangeError for columns of different length, a value that is not finite, a group other than 0 and 1, or a level outside 0 to 1.
 *
 * @example
 * ```ts
 * import { clusterRobustDifference, isPresent } from "overiron";
 * const estimate = clusterRobustDifference([1, 3, 2, 5], ["A", "A", "B", "B"], { group: [0, 1, 0, 1] });
 * if (!isPresent(estimate) || estimate.value !== 2.5) throw new Error("wrong");
 * ```
 */
export function clusterRobustDifference(
  values: ArrayLike<number>,
  clusterIds: ArrayLike<number | string>,
  options: ClusterRobustOptions & { readonly group: ArrayLike<number> },
): Estimate {
  const { group } = options;
  const doing = "take a difference by cluster";
  checkSameLength(doing, ["values", "cluster ids"], [values.length, clusterIds.length]);
  checkSameLength(doing, ["values", "group"], [values.length, group.length]);
  checkValues(doing, values, 0);
  const parts: [number[], number[]] = [[], []];
  for (let i = 0; i < values.length; i++) {
    if (group[i] !== 0 && group[i] !== 1) {
      throw new RangeError(`Cannot ${doing}: group must be 0 or 1, got ${group[i]} at index ${i}`);
    }
    parts[group[i] as 0 | 1].push(values[i]!);
  }
  if (parts[0].length === 0 || parts[1].length === 0) {
    return absent("no rows", "One of the two groups is empty", countsOf(clusterIds, options));
  }
  const centres = [mean(parts[0]), mean(parts[1])];
  const influence = Float64Array.from(
    values,
    (value, i) => (value - centres[group[i]!]!) * (group[i] === 1 ? 1 : -1) / parts[group[i] as 0 | 1].length,
  );
  return robustEstimate(centres[1]! - centres[0]!, influence, clusterIds, options);
}

function countsOf(clusterIds: ArrayLike<number | string>, options: ClusterRobustOptions): Counts {
  const { clusterUnit = "clusters", rowUnit = "rows" } = options;
  return { [rowUnit]: clusterIds.length, [clusterUnit]: new Set(Array.from(clusterIds)).size };
}

/** An estimate from the influence of each row on it, added up within clusters. */
function robustEstimate(
  value: number,
  influence: Float64Array,
  clusterIds: ArrayLike<number | string>,
  options: ClusterRobustOptions,
): Estimate {
  const { level = 0.95, leastClusters = 2, clusterUnit = "clusters" } = options;
  checkLevel("give an interval by cluster", level);
  if (!(leastClusters >= 2)) {
    throw new RangeError(
      `Cannot give an interval by cluster: leastClusters must be 2 or above, got ${leastClusters}`,
    );
  }
  const n = countsOf(clusterIds, options);
  const clusters = clusterRows(clusterIds);
  const count = clusters.length;
  if (count < leastClusters) {
    return absent("too few", `An interval needs at least ${leastClusters} ${clusterUnit}, got ${count}`, n);
  }
  let variance = 0;
  for (const rows of clusters) variance += rows.reduce((sum, row) => sum + influence[row]!, 0) ** 2;
  const half = studentQuantile(1 - (1 - level) / 2, count - 1) * Math.sqrt(variance * count / (count - 1));
  const method = `cluster-robust t, ${count - 1} df`;
  return present(value, { low: value - half, high: value + half, level, method }, n);
}
