import { describe, expect, test } from "vitest";
import { ratioBySite } from "../../lib/model/ratio_by_site.ts";
import { chance, clusterRobustMean, isPresent } from "../../lib/numbers/mod.ts";

const site = Int32Array.of(0, 0, 1, 1, 1, 2, 3, 3);
const values = [1, 3, 2, 5, 4, 1, 6, 2];

describe("ratioBySite()", () => {
  test("is the cluster-robust mean where every row counts one", () => {
    const ratio = ratioBySite(values, values.map(() => 1), site), mean = clusterRobustMean(values, site);
    if (!isPresent(ratio) || !isPresent(mean)) throw new Error("absent");
    expect(ratio.value).toBeCloseTo(mean.value, 12);
    expect(ratio.interval.low).toBeCloseTo(mean.interval.low, 10);
    expect(ratio.interval.high).toBeCloseTo(mean.interval.high, 10);
    expect(ratio.n).toEqual({ signals: 8, sites: 4 });
  });
  test("a share keeps within 0 to 1, and a sure one gets Wilson's limits for the effective cases", () => {
    const all = ratioBySite([1, 1, 1, 1], [1, 1, 1, 1], [0, 1, 2, 3], { kind: "share" });
    // Wilson (1927) for 4 of 4: low = 4 / (4 + 1.959964^2) = 0.5101.
    if (!isPresent(all)) throw new Error("absent");
    expect(all.value).toBe(1);
    expect(all.interval.low).toBeCloseTo(0.5101, 4);
    expect(all.interval.high).toBe(1);
    // The same cases at two sites, two each, count as two.
    const pairs = ratioBySite([1, 1, 1, 1], [1, 1, 1, 1], [0, 0, 1, 1], { kind: "share" });
    if (!isPresent(pairs)) throw new Error("absent");
    expect(pairs.interval.low).toBeCloseTo(2 / (2 + 1.959964 ** 2), 6);
  });
  test("a positive ratio keeps above 0", () => {
    const ratio = ratioBySite([9, 1, 1], [1, 1, 1], [0, 1, 2], { kind: "positive" });
    if (!isPresent(ratio)) throw new Error("absent");
    expect(ratio.interval.low).toBeGreaterThan(0);
    expect(ratio.interval.low * ratio.interval.high).toBeCloseTo(ratio.value ** 2, 9);
  });
  test("is absent with its reason where nothing is divided by, or one site holds all", () => {
    expect(ratioBySite([0, 0], [0, 0], [0, 1])).toMatchObject({
      absent: "no cases",
      n: { signals: 0, sites: 0 },
    });
    expect(ratioBySite([], [], [])).toMatchObject({ absent: "no cases" });
    expect(ratioBySite([1, 0], [1, 1], [3, 3])).toMatchObject({
      absent: "one site",
      n: { signals: 2, sites: 1 },
    });
    expect(() => ratioBySite([1], [1, 2], [0, 0])).toThrow(
      "Cannot give ratio: need equal lengths, got 1, 2 and 2",
    );
  });
  test("covers a true share near its level although sites differ", () => {
    // 12 sites of 15 signals; each site's share is 0.5 give or take 0.2. 400 seasons: 95 % give or take 3 points (3 SE).
    let covered = 0;
    for (let season = 0; season < 400; season++) {
      const stream = chance(season, "tests/coverage");
      const above: number[] = [], sites: number[] = [];
      for (let s = 0; s < 12; s++) {
        const share = 0.5 + 0.2 * (stream.next() < 0.5 ? -1 : 1);
        for (let i = 0; i < 15; i++) {
          above.push(stream.next() < share ? 1 : 0);
          sites.push(s);
        }
      }
      const { interval } = ratioBySite(above, above.map(() => 1), sites, { kind: "share" }) as {
        interval: { low: number; high: number };
      };
      if (interval.low <= 0.5 && 0.5 <= interval.high) covered++;
    }
    expect(covered / 400).toBeGreaterThan(0.92);
    expect(covered / 400).toBeLessThan(0.98);
  });
});
