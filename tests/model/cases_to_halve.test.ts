import { describe, expect, test } from "vitest";
import { casesToHalve } from "../../lib/model/cases_to_halve.ts";
import { ratioBySite } from "../../lib/model/ratio_by_site.ts";
import { absent, chance, isPresent, present } from "../../lib/numbers/mod.ts";

const interval = { low: 0.3, high: 0.7, level: 0.95, method: "by site" };
const valueOf = (estimate: Parameters<typeof isPresent>[0]): number => {
  if (!isPresent(estimate)) throw new Error(estimate.reason);
  return estimate.value;
};

describe("casesToHalve()", () => {
  test("ten sites, by a table of Student's t (Fisher and Yates 1963, Table III: 2.262 at 9, 2.042 at 30, 2.021 at 40 degrees)", () => {
    const found = valueOf(casesToHalve(present(0.5, interval, { signals: 1000, sites: 10 })));
    // f = 3.1 leaves 2.042 / sqrt(3.1) = 1.160 > 1.131 = 2.262 / 2; f = 4.1 leaves 2.021 / sqrt(4.1) = 0.998.
    expect(found).toBeGreaterThan(2100);
    expect(found).toBeLessThan(3100);
    // Between: t at 31.5 degrees is about 2.038, 2.038 / sqrt(3.25) = 1.1305.
    expect(found / 1000).toBeCloseTo(2.25, 1);
  });
  test("so many more cases do halve the interval, on average over made logs", () => {
    const G = 10, each = 12;
    const width = (seed: number, sites: number): number => {
      const stream = chance(seed, `tests/halve ${sites}`);
      const hits: number[] = [], site: number[] = [];
      for (let s = 0; s < sites; s++) {
        const rate = Math.min(0.95, Math.max(0.05, 0.5 + 0.15 * stream.normal()));
        for (let i = 0; i < each; i++) {
          hits.push(stream.next() < rate ? 1 : 0);
          site.push(s);
        }
      }
      const share = ratioBySite(hits, hits.map(() => 1), site);
      if (!isPresent(share)) throw new Error(share.reason);
      return share.interval.high - share.interval.low;
    };
    const more = valueOf(casesToHalve(present(0.5, interval, { signals: G * each, sites: G })));
    const grown = Math.round(G + more / each), runs = 300;
    let before = 0, after = 0;
    for (let run = 0; run < runs; run++) {
      before += width(run, G) / runs;
      after += width(run, grown) / runs;
    }
    // A mean of 300 widths at ten sites has a relative standard error of 0.24 / sqrt(300), 1.4 %; small samples make it 2.7 % short.
    expect(after / before).toBeGreaterThan(0.5 * 0.96);
    expect(after / before).toBeLessThan(0.5 * 1.08);
  });
  test("its own interval holds the value and widens with fewer sites", () => {
    const at = (sites: number) => {
      const found = casesToHalve(present(0.5, interval, { signals: 100, sites }));
      if (!isPresent(found)) throw new Error(found.reason);
      expect(found.interval.low).toBeLessThanOrEqual(found.value);
      expect(found.interval.high).toBeGreaterThan(found.value);
      return (found.interval.high - found.interval.low) / found.value;
    };
    expect(at(5)).toBeGreaterThan(at(20));
    expect(at(20)).toBeGreaterThan(at(200));
  });
  test("is absent where there is no sum over sites to go by, and refuses a count that is not there", () => {
    const none = absent("none met", "No masked good", { signals: 0, sites: 0 });
    expect(casesToHalve(none)).toBe(none);
    expect(casesToHalve(present(0.5, interval, { signals: 20, sites: 2 }))).toMatchObject({
      absent: "too few",
    });
    expect(casesToHalve(present(1, interval, { signals: 20, sites: 8 }))).toMatchObject({
      absent: "at the edge",
    });
    expect(() => casesToHalve(present(0.5, interval, { signals: 20, outings: 9 }))).toThrow(
      "Cannot tell cases to halve: n must count signals and sites, got signals, outings",
    );
  });
});
