import { describe, expect, test } from "vitest";
import {
  absent,
  bootstrapByCluster,
  bootstrapReplicates,
  chance,
  clusterRobustDifference,
  clusterRobustMean,
  isPresent,
} from "../../lib/numbers/mod.ts";

const values = [1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 7, 9];
const sites = ["A", "A", "B", "B", "C", "C", "D", "D", "E", "E", "F", "F"];
const average = (rows: Int32Array) => rows.reduce((sum, row) => sum + values[row]!, 0) / rows.length;
const options = { seed: 1, name: "test/mean", replicates: 400 };

describe("bootstrapByCluster()", () => {
  test("gives the same interval for the same seed and another for another", () => {
    const one = bootstrapByCluster(sites, average, options);
    expect(bootstrapByCluster(sites, average, options)).toEqual(one);
    expect(bootstrapByCluster(sites, average, { ...options, seed: 2 })).not.toEqual(one);
  });
  test("states value, level, method and both counts", () => {
    expect(bootstrapByCluster(sites, average, { ...options, clusterUnit: "sites", rowUnit: "signals" }))
      .toMatchObject({
        value: 51 / 12,
        interval: { level: 0.95, method: "percentile bootstrap of whole sites, 400 resamples" },
        n: { signals: 12, sites: 6 },
      });
  });
  test("keeps clusters whole: every resample holds a cluster's rows together and as often", () => {
    const uneven = ["A", "B", "B", "C", "C", "C", "D", "E"];
    bootstrapReplicates(uneven, (rows) => {
      const times = new Map<number, number>();
      for (const row of rows) times.set(row, (times.get(row) ?? 0) + 1);
      for (const [row, count] of times) {
        uneven.forEach((site, other) => {
          if (site === uneven[row]) expect(times.get(other)).toBe(count);
        });
      }
      return rows.length;
    }, { seed: 3, name: "test/whole", replicates: 50 });
  });
  test("is absent with too few clusters, no rows, or a statistic that does not exist", () => {
    expect(bootstrapByCluster(sites.slice(0, 8), average, options)).toEqual({
      absent: "too few",
      reason: "An interval needs at least 5 clusters, got 4",
      n: { rows: 8, clusters: 4 },
    });
    expect(bootstrapByCluster([], average, options)).toMatchObject({ absent: "no rows" });
    expect(bootstrapByCluster(sites, () => NaN, options)).toMatchObject({ absent: "undefined" });
    expect(bootstrapByCluster(sites, () => absent("never", "No curve crosses", {}), options)).toMatchObject({
      absent: "never",
      reason: "No curve crosses",
    });
  });
  test("is absent where the statistic does not exist in many resamples", () => {
    const fragile = (rows: Int32Array) => rows.includes(0) ? 1 + average(rows) : NaN;
    expect(bootstrapByCluster(sites, fragile, options)).toMatchObject({ absent: "unstable" });
  });
  test("covers: 90 % intervals of a mean hold the truth in most of 200 samples of 15 noisy clusters, rows alone do not", () => {
    let clustered = 0, plain = 0;
    for (let sample = 0; sample < 200; sample++) {
      const draw = chance(5, "test/cover", sample);
      const ids: number[] = [], y: number[] = [];
      for (let cluster = 0; cluster < 15; cluster++) {
        const level = draw.normal();
        for (let i = 0; i < 6; i++) {
          ids.push(cluster);
          y.push(level + 0.3 * draw.normal());
        }
      }
      const mean = (rows: Int32Array) => rows.reduce((sum, row) => sum + y[row]!, 0) / rows.length;
      const holds = (clusters: number[]): boolean => {
        const got = bootstrapByCluster(clusters, mean, {
          seed: sample,
          name: "test/cover",
          replicates: 200,
          level: 0.9,
        });
        return isPresent(got) && got.interval.low <= 0 && got.interval.high >= 0;
      };
      if (holds(ids)) clustered++;
      if (holds(ids.map((_, i) => i))) plain++;
    }
    // Percentile intervals of 15 clusters fall a little short of 90 %.
    expect(clustered).toBeGreaterThan(160);
    expect(plain).toBeLessThan(130);
  });
  test("refuses options outside their ranges", () => {
    expect(() => bootstrapByCluster(sites, average, { ...options, replicates: 10 })).toThrow(
      new RangeError("Cannot bootstrap: replicates must be 100 or above, got 10"),
    );
    expect(() => bootstrapByCluster(sites, average, { ...options, level: 95 })).toThrow(
      new RangeError("Cannot bootstrap: level must be between 0 and 1, got 95"),
    );
  });
});

describe("cluster-robust t", () => {
  test("clusterRobustMean() equals the plain t interval where each cluster is one row", () => {
    // t interval of 1, 2, 4, 5: mean 3, standard error 0.9128709, t(3) = 3.182446 (table).
    const estimate = clusterRobustMean([1, 2, 4, 5], [1, 2, 3, 4]);
    if (!isPresent(estimate)) expect.fail(estimate.reason);
    expect(estimate.interval.high).toBeCloseTo(3 + 3.182446 * Math.sqrt((4 + 1 + 1 + 4) / 3 / 4), 5);
    expect(estimate.interval.method).toBe("cluster-robust t, 3 df");
  });
  test("clusterRobustDifference() of pairs is the paired t interval", () => {
    const first = [5, 7, 6, 9, 4], second = [6, 9, 6, 12, 5];
    const got = clusterRobustDifference([...first, ...second], [1, 2, 3, 4, 5, 1, 2, 3, 4, 5], {
      group: [0, 0, 0, 0, 0, 1, 1, 1, 1, 1],
    });
    const paired = clusterRobustMean(second.map((value, i) => value - first[i]!), [1, 2, 3, 4, 5]);
    if (!isPresent(got) || !isPresent(paired)) expect.fail("absent");
    expect(got.value).toBeCloseTo(paired.value, 12);
    expect(got.interval.low).toBeCloseTo(paired.interval.low, 12);
  });
  test("absences have reasons", () => {
    expect(clusterRobustMean([], [])).toMatchObject({ absent: "no rows" });
    expect(clusterRobustMean([1, 2], ["A", "A"])).toMatchObject({ absent: "too few" });
    expect(clusterRobustDifference([1, 2], ["A", "B"], { group: [0, 0] })).toMatchObject({
      absent: "no rows",
    });
  });
});
