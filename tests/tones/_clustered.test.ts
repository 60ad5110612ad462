import { describe, expect, test } from "vitest";
import { clusteredDifference, clusteredStatistic } from "../../lib/tones/_clustered.ts";

// Growth data of Potthoff and Roy (1964), distance at four ages, the 11 girls F01 to F11 (R nlme::Orthodont; from memory). Closed form of the ideal (infinite) cluster bootstrap of the mean of equal clusters: the standard deviation
// (divisor n) of the child means over sqrt(n). The percentile interval is then close to mean +- 1.96 of it.
const children = [
  [21, 20, 21.5, 23],
  [21, 21.5, 24, 25.5],
  [20.5, 24, 24.5, 26],
  [23.5, 24.5, 25, 26.5],
  [21.5, 23, 22.5, 23.5],
  [20, 21, 21, 22.5],
  [21.5, 22.5, 23, 25],
  [23, 23, 23.5, 24],
  [20, 21, 22, 21.5],
  [16.5, 19, 19, 19.5],
  [24.5, 25, 28, 28],
];
const parts = children.flatMap((ages, i) =>
  ages.map((value) => ({ cluster: `F${String(i).padStart(2, "0")}`, adds: [value, 1] }))
);
const options = {
  name: "test",
  seed: 1,
  level: 0.95,
  replicates: 4000,
  clusterWord: "child",
  n: { measurements: 44 },
  undefinedBecause: "No measurements",
};
const mean = (sums: Float64Array) => sums[1]! > 0 ? sums[0]! / sums[1]! : null;

describe("clusteredStatistic()", () => {
  test("is as wide as the closed form of the cluster bootstrap, and wider than rows drawn alone", () => {
    const estimate = clusteredStatistic(parts, mean, options);
    const rows = clusteredStatistic(parts.map((part, i) => ({ ...part, cluster: `${i}` })), mean, options);
    if (!("value" in estimate) || !("value" in rows)) throw new Error("absent");
    const means = children.map((ages) => ages.reduce((a, b) => a + b, 0) / 4);
    const centre = means.reduce((a, b) => a + b, 0) / means.length;
    const ideal = Math.sqrt(means.reduce((sum, value) => sum + (value - centre) ** 2, 0)) / means.length;
    const width = (one: typeof estimate) => one.interval.high - one.interval.low;
    expect(estimate.value).toBeCloseTo(centre, 12);
    // 4000 replicates tell a 2.5 % limit to about 3 % of the interval; clusters are 11, so the law is not quite normal.
    expect(width(estimate) / (2 * 1.96 * ideal)).toBeGreaterThan(0.92);
    expect(width(estimate) / (2 * 1.96 * ideal)).toBeLessThan(1.08);
    expect(width(rows)).toBeLessThan(0.8 * width(estimate));
  });
  test("says where too many redrawn sets have no value", () => {
    const rare = [{ cluster: "a", adds: [1, 1] }, { cluster: "b", adds: [0, 0] }, {
      cluster: "c",
      adds: [0, 0],
    }];
    expect(clusteredStatistic(rare, mean, options)).toMatchObject({ absent: "too few" });
  });
  test("gives another interval for another seed", () => {
    expect(clusteredStatistic(parts, mean, { ...options, seed: 2 })).not.toEqual(
      clusteredStatistic(parts, mean, options),
    );
  });
  test("does not depend on the order of the rows", () => {
    expect(clusteredStatistic([...parts].reverse(), mean, options)).toEqual(
      clusteredStatistic(parts, mean, options),
    );
  });
});

describe("clusteredDifference()", () => {
  test("stands in with Newcombe's method 10 where clusters are few", () => {
    // Newcombe (1998), Statistics in Medicine 17:873, table II: 56/70 - 48/80 by method 10 is 0.0524 to 0.3339 (from memory);
    // 10/10 - 0/10 is 0.6075 to 1.0000 (same table, from memory).
    const one = (a: number, n: number, b: number, m: number) =>
      clusteredDifference([{ cluster: "a", adds: [a, n, b, m] }], {
        ...options,
        units: ["goods", "iron"],
        undefinedBecause: "",
      });
    const first = one(56, 70, 48, 80), second = one(10, 10, 0, 10);
    if (!("value" in first) || !("value" in second)) throw new Error("absent");
    expect([first.interval.low, first.interval.high].map((x) => x.toFixed(4))).toEqual(["0.0524", "0.3339"]);
    expect([second.interval.low, second.interval.high].map((x) => x.toFixed(4))).toEqual([
      "0.6075",
      "1.0000",
    ]);
    expect(first.n).toEqual({ goods: 70, iron: 80, childs: 1 });
  });
});
