import { describe, expect, test } from "vitest";
import { chance } from "../../lib/numbers/mod.ts";
import { hasValue, sweepFeatures, type SweepValue } from "../../lib/sweep/mod.ts";
import { machine, passes } from "./_passes.ts";

const fine = { ...machine, scale: { ...machine.scale, step: 1e-6 } };

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

  test("of a true asymmetry, the size shrinks with passes and its standard errors grow: the corrected one does neither", () => {
    const meanOf = (n: number, lean: number) => {
      const draws = chance(7, `test/noise/${lean}`, n);
      let size = 0, errors = 0, corrected = 0;
      const signals = 4000;
      for (let i = 0; i < signals; i++) {
        const side = (middle: number) => passes(Array.from({ length: n }, () => middle + 5 * draws.normal()));
        const record = { right: side(300 + lean), left: side(300), cross: null };
        const features = sweepFeatures(record, { machine: fine, repeatNoise: 5 });
        const { asymmetry } = features;
        if (!hasValue(asymmetry)) throw new Error(asymmetry.reason);
        size += Math.abs(asymmetry.value) / signals;
        errors += Math.abs(asymmetry.value) / asymmetry.standardError! / signals;
        corrected += (valueOf(features.asymmetryCorrected) as number) / signals;
      }
      return { size, errors, corrected };
    };
    const noise = [1, 2, 4, 8].map((n) => meanOf(n, 0));
    const leaning = [1, 2, 4, 8].map((n) => meanOf(n, 6));
    // E|N(0, s^2)| = s sqrt(2/pi); s^2 = 2 x 25 x var(median): 5.642 with one pass each way, 2.314 with eight. Monte Carlo error below 2 % at 4,000.
    expect(noise[0]!.size / 5.642).toBeCloseTo(1, 1);
    expect(noise[3]!.size / 2.314).toBeCloseTo(1, 1);
    expect(leaning[3]!.errors).toBeGreaterThan(1.7 * leaning[0]!.errors);
    // Passes each way lie X ~ N(6, 50) apart. E|X| = 2 x 5 / sqrt(pi) x exp(-36/100) + 6 erf(0.6) (folded normal: Leone, Nelson and Nottingham
    // 1961), 5.6419 x 0.69768 + 6 x 0.60386 = 7.5594; less 5.6419 within a way: 1.9175. A single signal's value has a standard deviation of at
    // most 5.4 (with one pass each way), so the mean of 4,000 has a standard error of at most 0.085; four of them.
    for (const { corrected } of noise) expect(Math.abs(corrected)).toBeLessThan(0.34);
    for (const { corrected } of leaning) expect(Math.abs(corrected - 1.9175)).toBeLessThan(0.34);
  });

  test("corrected asymmetry and turn change by hand, and with the weights of right and left alike", () => {
    const features = sweepFeatures(
      { right: passes([300, 304]), left: passes([290, 294]), cross: passes([280, 282, 284]) },
      { machine },
    );
    // Right from left lie 10, 6, 14 and 10 apart, passes of one way 4: 10 - 4.
    expect(valueOf(features.asymmetryCorrected)).toBe(6);
    // Cross from right 20, cross from left 10: 15. Within cross (2 + 4 + 2) / 3. Before the turn (4 + 10 + 10 + 4) / 4 = 7.
    expect(valueOf(features.turnChangeCorrected)).toBeCloseTo(15 - (8 / 3 + 7) / 2, 12);
    const longer = sweepFeatures(
      { right: passes([300, 304, 300, 304, 300, 304]), left: passes([290, 294]), cross: null },
      { machine },
    );
    // Within the right: 9 of the 15 pairs lie 4 apart.
    expect(valueOf(longer.asymmetryCorrected)).toBeCloseTo(10 - (2.4 + 4) / 2, 12);
  });

  test("the corrected values have one expectation for two, three and four passes a way, whatever the distribution", () => {
    // Every outcome of n passes drawn from a few readings, one of them far off, each as likely as the other: no chance in it.
    const outcomes = (values: readonly number[], n: number): number[][] =>
      n === 0 ? [[]] : outcomes(values, n - 1).flatMap((row) => values.map((value) => [...row, value]));
    const right = [300, 310, 140], left = [290, 300], cross = [280, 300];
    const expected = (n: number) => {
      const rows = outcomes(right, n).flatMap((r) => outcomes(left, n).map((l) => [r, l] as const));
      const turned = outcomes(cross, 2);
      let asymmetry = 0, turn = 0;
      for (const [r, l] of rows) {
        for (const c of turned) {
          const record = { right: passes(r), left: passes(l), cross: passes(c) };
          const found = sweepFeatures(record, { machine });
          asymmetry += (valueOf(found.asymmetryCorrected) as number) / rows.length / turned.length;
          turn += (valueOf(found.turnChangeCorrected) as number) / rows.length / turned.length;
        }
      }
      return { asymmetry, turn };
    };
    // Right from left: (10 + 0 + 20 + 10 + 150 + 160) / 6. Two of the right: 2 x (10 + 160 + 170) / 9, two of the left: 2 x 10 / 4.
    const asymmetry = 350 / 6 - (680 / 9 + 5) / 2;
    // Cross from right (20 + 30 + 140 + 0 + 10 + 160) / 6 = 60, from left (10 + 20 + 10 + 0) / 4 = 10; two of cross: 2 x 20 / 4.
    const turn = 35 - (10 + (680 / 9 + 5 + 2 * 350 / 6) / 4) / 2;
    for (const n of [2, 3, 4]) {
      const found = expected(n);
      expect(found.asymmetry).toBeCloseTo(asymmetry, 9);
      expect(found.turn).toBeCloseTo(turn, 9);
    }
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
    expect(valueOf(sweepFeatures(record, { machine }).asymmetryCorrected)).toBe("too-few-passes");
    // 10 apart, less 2 / sqrt(pi) x 5 for each way, halved.
    expect(valueOf(sweepFeatures(record, { machine, repeatNoise: 5 }).asymmetryCorrected)).toBeCloseTo(
      4.358104164522437,
      12,
    );
    const known = sweepFeatures(record, { machine: fine, repeatNoise: 5 }).asymmetry;
    expect(hasValue(known) && known.standardError).toBeCloseTo(5 * Math.SQRT2, 9);
  });

  test("a silent direction, a silent signal and one never logged are told apart", () => {
    const silent = passes([], { silent: 3 });
    const half = sweepFeatures({ right: passes([300, 301]), left: silent, cross: null }, { machine });
    expect(valueOf(half.asymmetry)).toBe("silent");
    expect(valueOf(half.asymmetryCorrected)).toBe("silent");
    // Without a left the turn is held against the right alone.
    const turned = sweepFeatures({ right: passes([300, 302]), left: silent, cross: passes([310, 312]) }, {
      machine,
    });
    expect(valueOf(turned.turnChangeCorrected)).toBe(8);
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
    expect(valueOf(features.asymmetryCorrected)).toBe("too-few-passes");
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
