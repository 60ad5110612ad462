import { describe, expect, test } from "vitest";
import type { Passes } from "../../lib/log/mod.ts";
import { chance } from "../../lib/numbers/mod.ts";
import { hasValue, sweepFeatures, type SweepValue } from "../../lib/sweep/mod.ts";

const machine = {
  machine: "Machine A",
  scale: { low: 0, high: 600, step: 1 },
  iron_break: 150,
  tones: {
    name: "one",
    kind: "bands" as const,
    breaks: [],
    bands: [{ name: "all", pitch_hz: 440, loudness: 1 }],
  },
};
const fine = { ...machine, scale: { ...machine.scale, step: 1e-6 } };

function passes(readings: readonly number[], extra: Partial<Passes> = {}): Passes {
  const silent = extra.silent ?? 0;
  const base = { written: readings.join(" "), kind: "passes" as const, approximate: false };
  return Object.freeze({
    ...base,
    readings: Object.freeze([...readings]),
    silent,
    passes: readings.length + silent,
    ...extra,
  });
}

const valueOf = (feature: SweepValue): number | string => hasValue(feature) ? feature.value : feature.absent;

describe("sweepFeatures()", () => {
  test("computes each feature of a worked signal", () => {
    // By hand: right 300 304 310 (median 304), left 288 290 290 140 (median 289) and one silent pass.
    const record = {
      right: passes([300, 304, 310]),
      left: passes([288, 290, 290, 140], { silent: 1 }),
      cross: passes([250]),
    };
    const features = sweepFeatures(record, { machine });
    expect(valueOf(features.centre)).toBe(290);
    expect(valueOf(features.asymmetry)).toBe(15);
    expect(valueOf(features.turnChange)).toBe(-40);
    expect(valueOf(features.dropout)).toBe(1 / 8);
    expect(valueOf(features.ironShare)).toBe(1 / 7);
    expect(valueOf(features.bestRepeat)).toBe(290);
    expect(valueOf(features.passes)).toBe(8);
    // Residuals -4 0 6 -1 1 1 -149, sorted -149 -4 -1 0 1 1 6: type 7 quartiles -2.5 and 1.
    expect(valueOf(features.spread)).toBe(3.5);
  });

  test("pure noise: the size of the asymmetry shrinks with passes, the scaled one does not", () => {
    const meanOf = (n: number) => {
      const draws = chance(7, "test/noise", n);
      let raw = 0, scaled = 0;
      const signals = 4000;
      for (let i = 0; i < signals; i++) {
        const side = () => passes(Array.from({ length: n }, () => 300 + 5 * draws.normal()));
        const features = sweepFeatures({ right: side(), left: side(), cross: null }, {
          machine: fine,
          repeatNoise: 5,
        });
        raw += Math.abs(valueOf(features.asymmetry) as number) / signals;
        scaled += Math.abs(valueOf(features.asymmetryScaled) as number) / signals;
      }
      return { raw, scaled };
    };
    const one = meanOf(1), three = meanOf(3), eight = meanOf(8);
    // E|N(0, s^2)| = s sqrt(2/pi); s^2 = 2 x 25 x var(median): 5.642, 3.779, 2.314. Monte Carlo error below 2 % at 4,000.
    expect(one.raw / 5.642).toBeCloseTo(1, 1);
    expect(three.raw / 3.779).toBeCloseTo(1, 1);
    expect(eight.raw / 2.314).toBeCloseTo(1, 1);
    expect(one.raw).toBeGreaterThan(2 * eight.raw);
    for (const { scaled } of [one, three, eight]) expect(scaled).toBeGreaterThan(0.76);
    for (const { scaled } of [one, three, eight]) expect(scaled).toBeLessThan(0.86);
    expect(eight.scaled).toBeLessThan(one.scaled * 1.06);
  });

  test("pure noise: spread grows with passes, the corrected one does not", () => {
    const meanOf = (n: number) => {
      const draws = chance(9, "test/spread", n);
      let raw = 0, corrected = 0;
      for (let i = 0; i < 2000; i++) {
        const side = () => passes(Array.from({ length: n }, () => 300 + 5 * draws.normal()));
        const features = sweepFeatures({ right: side(), left: side(), cross: null }, { machine });
        raw += (valueOf(features.spread) as number) / 2000;
        corrected += (valueOf(features.spreadCorrected) as number) / 2000;
      }
      return { raw, corrected };
    };
    const three = meanOf(3), eight = meanOf(8);
    expect(eight.raw).toBeGreaterThan(three.raw * 1.1);
    // The noise had a standard deviation of 5.
    expect(three.corrected).toBeGreaterThan(4.7);
    expect(three.corrected).toBeLessThan(5.3);
    expect(eight.corrected).toBeGreaterThan(4.7);
    expect(eight.corrected).toBeLessThan(5.3);
  });

  test("one pass each way gives an asymmetry without a standard error unless the machine's noise is known", () => {
    const record = { right: passes([300]), left: passes([290]), cross: null };
    expect(sweepFeatures(record, { machine }).asymmetry).toEqual({ value: 10, standardError: null });
    expect(valueOf(sweepFeatures(record, { machine }).asymmetryScaled)).toBe("too-few-passes");
    const known = sweepFeatures(record, { machine: fine, repeatNoise: 5 }).asymmetry;
    expect(hasValue(known) && known.standardError).toBeCloseTo(5 * Math.SQRT2, 9);
  });

  test("a silent direction, a silent signal and one never logged are told apart", () => {
    const silent = passes([], { silent: 3 });
    const half = sweepFeatures({ right: passes([300, 301]), left: silent, cross: null }, { machine });
    expect(valueOf(half.asymmetry)).toBe("silent");
    expect(valueOf(half.dropout)).toBe(3 / 5);
    expect(valueOf(half.turnChange)).toBe("not-logged");
    const all = sweepFeatures({ right: silent, left: silent, cross: silent }, { machine });
    expect(valueOf(all.centre)).toBe("silent");
    expect(valueOf(all.dropout)).toBe(1);
    const none = sweepFeatures({ right: null, left: null, cross: null }, { machine });
    for (const feature of Object.values(none)) expect(valueOf(feature)).toBe("not-logged");
  });

  test("summaries give a centre and an asymmetry, but no spread, iron share or best repeat", () => {
    const range = passes([280, 300], { kind: "range", passes: null });
    const triple = passes([200, 280, 310], { kind: "low-usual-high", passes: null });
    const features = sweepFeatures({ right: range, left: triple, cross: null }, { machine });
    expect(valueOf(features.asymmetry)).toBe(10);
    expect(valueOf(features.centre)).toBe(285);
    expect(valueOf(features.spread)).toBe("too-few-passes");
    expect(valueOf(features.ironShare)).toBe("too-few-passes");
    expect(valueOf(features.bestRepeat)).toBe("too-few-passes");
    expect(valueOf(features.passes)).toBe("too-few-passes");
  });

  test("readings all equal have spread 0 and a standard error of the display's own step", () => {
    const features = sweepFeatures(
      { right: passes([300, 300, 300]), left: passes([300, 300]), cross: null },
      { machine },
    );
    expect(valueOf(features.spread)).toBe(0);
    const asymmetry = features.asymmetry;
    expect(hasValue(asymmetry) && asymmetry.standardError).toBeCloseTo(Math.sqrt((0.448671 + 0.5) / 12), 6);
  });

  test("a reading at the iron break is not iron", () => {
    const features = sweepFeatures({ right: passes([149, 150]), left: null, cross: null }, { machine });
    expect(valueOf(features.ironShare)).toBe(0.5);
  });

  test("refuses a negative repeat noise", () => {
    const record = { right: null, left: null, cross: null };
    expect(() => sweepFeatures(record, { machine, repeatNoise: -1 })).toThrow(RangeError);
    expect(() => sweepFeatures(record, { machine, repeatNoise: -1 })).toThrow(
      "repeatNoise must be 0 or above, got -1",
    );
  });
});
