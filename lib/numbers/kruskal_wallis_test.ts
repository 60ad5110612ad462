import { checkValues } from "./_check_values.ts";
import { chiSquaredTail } from "./chi_squared_tail.ts";
import { type Absent, absent } from "./estimate.ts";

/** The rank test of several groups. */
export interface KruskalWallisResult {
  /** Corrected for ties. */
  readonly h: number;
  readonly degreesOfFreedom: number;
  /** From the chi-squared distribution. */
  readonly p: number;
  /** H / (n - 1), the share of the variance of ranks between groups. */
  readonly epsilonSquared: number;
  /** (H - groups + 1) / (n - groups), below 0 where groups are more alike than by chance. */
  readonly etaSquared: number;
}

/**
 * Tests whether several groups differ, by the ranks of their values.
 *
 * @param groups Finite numbers, one array a group; empty groups are refused.
 * @returns The test; absent with fewer than two groups, no more values than groups, or where all values are equal. The p value is rough
 * below about five values a group.
 *
 * Sources: Kruskal and Wallis (1952), JASA 47:583-621; effect sizes: Tomczak and Tomczak (2014), Trends in Sport Sciences 21:19-25.
 * Throws RangeError for an empty group or values that are not finite.
 *
 * @example
 * ```ts
 * import { kruskalWallisTest } from "overiron";
 * const test = kruskalWallisTest([[1, 2, 3], [4, 5, 6]]);
 * if (!("h" in test) || test.h.toFixed(3) !== "3.857") throw new Error("wrong");
 * ```
 */
export function kruskalWallisTest(groups: readonly ArrayLike<number>[]): KruskalWallisResult | Absent {
  groups.forEach((group) => checkValues("test groups by ranks", group));
  const all = groups.flatMap((group, g) => Array.from(group, (value) => ({ value, g })));
  all.sort((a, b) => a.value - b.value);
  const n = all.length, counts = { values: n, groups: groups.length };
  if (groups.length < 2) {
    return absent("too few", `A comparison needs two groups, got ${groups.length}`, counts);
  }
  if (n <= groups.length) return absent("too few", "There are no more values than groups", counts);
  const rankSums = groups.map(() => 0);
  let ties = 0;
  for (let i = 0; i < n;) {
    let end = i;
    while (end < n && all[end]!.value === all[i]!.value) end++;
    const size = end - i;
    ties += size ** 3 - size;
    for (let k = i; k < end; k++) rankSums[all[k]!.g]! += (i + end + 1) / 2;
    i = end;
  }
  const correction = 1 - ties / (n ** 3 - n);
  if (correction === 0) return absent("undefined", "All values are equal", counts);
  const sum = groups.reduce((total, group, g) => total + rankSums[g]! ** 2 / group.length, 0);
  const h = (12 / (n * (n + 1)) * sum - 3 * (n + 1)) / correction;
  const degreesOfFreedom = groups.length - 1;
  return {
    h,
    degreesOfFreedom,
    p: chiSquaredTail(Math.max(0, h), degreesOfFreedom),
    epsilonSquared: h / (n - 1),
    etaSquared: (h - groups.length + 1) / (n - groups.length),
  };
}
