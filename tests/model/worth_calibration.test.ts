import { describe, expect, test } from "vitest";
import { chance, isPresent } from "../../lib/numbers/mod.ts";
import { worthCalibration } from "../../lib/model/worth_calibration.ts";

function made(n: number, honest: number): { p: Float64Array; outcome: Uint8Array; site: Int32Array } {
  const stream = chance(9, "tests/calibration");
  const p = new Float64Array(3 * n), outcome = new Uint8Array(n);
  for (let i = 0; i < n; i++) {
    const worth = stream.next();
    outcome[i] = stream.next() < worth ? 1 + stream.integer(2) : 0;
    const said = 0.5 + honest * (worth - 0.5);
    p.set([1 - said, said / 2, said / 2], 3 * i);
  }
  return { p, outcome, site: Int32Array.from({ length: n }, (_, i) => i % 10) };
}

describe("worthCalibration()", () => {
  test("an honest engine's chances lie within the intervals, an overbold one's do not", () => {
    const count = (honest: number) => {
      const { p, outcome, site } = made(1000, honest);
      return worthCalibration(p, outcome, { site }).filter(({ given, came }) =>
        isPresent(given) && isPresent(came) && came.interval.low <= given.value &&
        given.value <= came.interval.high
      ).length;
    };
    expect(count(1)).toBeGreaterThanOrEqual(4);
    expect(count(0.3)).toBeLessThanOrEqual(2);
  });
  test("groups hold equal numbers, all signals once, rising in the chance given", () => {
    const { p, outcome, site } = made(203, 1);
    const groups = worthCalibration(p, outcome, { site });
    expect(groups.map((group) => group.signals).reduce((a, b) => a + b, 0)).toBe(203);
    expect(groups).toHaveLength(5);
    const means = groups.map(({ given }) => isPresent(given) ? given.value : NaN);
    expect([...means].sort((a, b) => a - b)).toEqual(means);
  });
  test("signals of one chance stay together; few signals make few groups, under ten none", () => {
    const p = Float64Array.from({ length: 120 }, (_, at) => [0.5, 0.25, 0.25][at % 3]!);
    expect(
      worthCalibration(p, new Uint8Array(40), { site: Int32Array.from({ length: 40 }, (_, i) => i % 4) }),
    ).toHaveLength(1);
    // Two heaps of signals half a point apart are one group; two points apart they are two.
    const heaps = (apart: number) =>
      worthCalibration(
        Float64Array.from({ length: 300 }, (_, at) => {
          const good = 0.02 + (at < 150 ? 0 : apart);
          return [1 - good, good / 2, good / 2][at % 3]!;
        }),
        new Uint8Array(100),
        { groupCount: 2, site: Int32Array.from({ length: 100 }, (_, i) => i % 4) },
      ).map(({ signals }) => signals);
    expect(heaps(0.005)).toEqual([100]);
    expect(heaps(0.02)).toEqual([50, 50]);
    const { p: few, outcome, site } = made(9, 1);
    expect(worthCalibration(few, outcome, { site })).toEqual([]);
    expect(() => worthCalibration(few, outcome, { site: Int32Array.of(1) })).toThrow(
      /^Cannot calibrate: need 3 probabilities/,
    );
  });
});
