import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { quantile, type QuantileType } from "../../lib/numbers/quantile.ts";

const types = [1, 2, 3, 4, 5, 6, 7, 8, 9] as const;
const values = fc.array(fc.double({ min: -1e6, max: 1e6, noNaN: true }), { minLength: 1, maxLength: 30 });

describe("quantile()", () => {
  test("returns the one value there is, for every type", () => {
    for (const type of types) for (const p of [0, 0.3, 1]) expect(quantile([7], p, { type })).toBe(7);
  });
  test("returns the common value of tied numbers", () => {
    for (const type of types) expect(quantile([3, 3, 3, 3], 0.4, { type })).toBe(3);
  });
  test("never falls as p rises, stays within the values and ignores their order", () => {
    fc.assert(
      fc.property(
        values,
        fc.constantFrom(...types),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (x, type, p) => {
          const here = quantile(x, p, { type });
          const spread = 1e-9 * (1 + Math.max(...x.map(Math.abs)));
          expect(here).toBeGreaterThanOrEqual(Math.min(...x) - spread);
          expect(here).toBeLessThanOrEqual(Math.max(...x) + spread);
          expect(quantile([...x].reverse(), p, { type })).toBe(here);
          expect(quantile(x, Math.min(1, p + 0.1), { type })).toBeGreaterThanOrEqual(here - spread);
        },
      ),
      { seed: 1 },
    );
  });
  test("types 4 to 9 turn round: the quantile of -x at 1 - p is minus that of x at p, where the rule is symmetric", () => {
    fc.assert(
      fc.property(
        values,
        fc.constantFrom(2, 5, 6, 7, 8, 9),
        fc.integer({ min: 0, max: 20 }),
        (x, type, k) => {
          const p = k / 20;
          const turned = quantile(x.map((value) => -value), 1 - p, { type: type as QuantileType });
          expect(turned).toBeCloseTo(-quantile(x, p, { type: type as QuantileType }), 6);
        },
      ),
      { seed: 2 },
    );
  });
  test("takes 0.1 of 30 values as the third, though 30 * 0.1 is not exactly 3 in binary", () => {
    const x = Array.from({ length: 30 }, (_, i) => i + 1);
    expect(quantile(x, 0.1, { type: 1 })).toBe(3);
    expect(quantile(x, 0.1, { type: 2 })).toBe(3.5);
    expect(quantile(x, 0.7, { type: 1 })).toBe(21);
  });
  test("of many numbers it is that of the sorted ones, zeros of both signs and ties among them", () => {
    const many = fc.array(
      fc.oneof(fc.double({ noNaN: true, noDefaultInfinity: true }), fc.constantFrom(-0, 0, 1, 2)),
      {
        minLength: 25,
        maxLength: 300,
      },
    );
    fc.assert(
      fc.property(many, fc.double({ min: 0, max: 1, noNaN: true }), (x, p) => {
        const sorted = new Float64Array(x).sort();
        // Type 1 by its definition: the value at the position rounded up.
        const position = x.length * p, nearest = Math.round(position);
        const k = Math.abs(position - nearest) <= 4 * Number.EPSILON * x.length
          ? nearest
          : Math.ceil(position);
        expect(quantile(x, p, { type: 1 })).toBe(sorted[Math.max(k, 1) - 1]);
        // Type 7 at k of n - 1 steps is the value there.
        const step = Math.floor(p * (x.length - 1));
        expect(quantile(x, step / (x.length - 1)) + 0).toBe(sorted[step]! + 0);
      }),
      { seed: 5, numRuns: 300 },
    );
    const organ = Array.from({ length: 2000 }, (_, i) => Math.min(i, 2000 - i));
    expect(quantile(organ, 0.5, { type: 2 })).toBe(500);
  });
  test("leaves its input untouched", () => {
    const x = Object.freeze([3, 1, 2]);
    quantile(x, 0.5);
    expect(x).toEqual([3, 1, 2]);
  });
  test("refuses what has no quantile", () => {
    expect(() => quantile([], 0.5)).toThrow(
      new RangeError("Cannot take a quantile: need at least 1 value, got 0"),
    );
    expect(() => quantile([1, NaN], 0.5)).toThrow(
      new RangeError("Cannot take a quantile: every value must be a finite number, got NaN at index 1"),
    );
    expect(() => quantile([1], 1.5)).toThrow(
      new RangeError("Cannot take a quantile: p must be from 0 to 1, got 1.5"),
    );
    expect(() => quantile([1], 0.5, { type: 10 as QuantileType })).toThrow(
      new RangeError("Cannot take a quantile: type must be a whole number from 1 to 9, got 10"),
    );
  });
});
