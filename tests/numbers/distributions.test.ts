import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  betaProbability,
  betaQuantile,
  chiSquaredTail,
  normalProbability,
  normalQuantile,
  studentProbability,
  studentQuantile,
} from "../../lib/numbers/mod.ts";

const inside = fc.double({ min: 1e-9, max: 1 - 1e-9, noNaN: true });
const degrees = fc.oneof(fc.integer({ min: 1, max: 200 }), fc.double({ min: 0.3, max: 1e6, noNaN: true }));

describe("distributions", () => {
  test("quantile and probability of the normal turn each other round", () => {
    fc.assert(fc.property(inside, (p) => Math.abs(normalProbability(normalQuantile(p)) - p) < 1e-14), {
      seed: 1,
    });
  });
  test("quantile and probability of t turn each other round and are symmetric", () => {
    fc.assert(
      fc.property(inside, degrees, (p, df) => {
        const t = studentQuantile(p, df);
        expect(studentProbability(t, df)).toBeCloseTo(p, 12);
        expect(studentProbability(-t, df)).toBeCloseTo(1 - p, 12);
      }),
      { seed: 2 },
    );
  });
  test("quantile and probability of beta turn each other round", () => {
    // Below 1 the density is endless at the ends, where x itself has too few digits to come back.
    const shape = fc.double({ min: 1, max: 500, noNaN: true });
    fc.assert(
      fc.property(inside, shape, shape, (p, a, b) => {
        expect(betaProbability(betaQuantile(p, [a, b]), [a, b])).toBeCloseTo(p, 9);
      }),
      { seed: 3 },
    );
  });
  test("t with endless degrees of freedom is the normal distribution", () => {
    expect(studentQuantile(0.9, Infinity)).toBe(normalQuantile(0.9));
    expect(studentProbability(1.3, 1e12)).toBeCloseTo(normalProbability(1.3), 11);
  });
  test("ends are exact", () => {
    expect(normalProbability(-Infinity)).toBe(0);
    expect(normalProbability(Infinity)).toBe(1);
    expect(studentProbability(-Infinity, 3)).toBe(0);
    expect(betaQuantile(0, [2, 3])).toBe(0);
    expect(betaQuantile(1, [2, 3])).toBe(1);
    expect(chiSquaredTail(0, 5)).toBe(1);
    expect(chiSquaredTail(Infinity, 5)).toBe(0);
  });
  test("refusals say the rule and the value", () => {
    expect(() => normalQuantile(1)).toThrow(
      new RangeError("Cannot give a normal quantile: p must be inside 0 to 1, got 1"),
    );
    expect(() => normalProbability(NaN)).toThrow(
      new RangeError("Cannot give a normal probability: z must be a number, got NaN"),
    );
    expect(() => studentQuantile(0.5, 0)).toThrow(
      new RangeError("Cannot use Student's t: degrees of freedom must be above 0, got 0"),
    );
    expect(() => studentQuantile(0, 5)).toThrow(
      new RangeError("Cannot give a t quantile: p must be inside 0 to 1, got 0"),
    );
    expect(() => chiSquaredTail(-1, 1)).toThrow(
      new RangeError("Cannot use chi-squared: x must be 0 or above, got -1"),
    );
    expect(() => betaProbability(0.5, [0, 1])).toThrow(
      new RangeError("Cannot use the beta distribution: both shapes must be above 0, got 0"),
    );
  });
});
