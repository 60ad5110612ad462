import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { isPresent, proportionInterval, shareEstimate, wilsonInterval } from "../../lib/numbers/mod.ts";

const counts = fc.integer({ min: 1, max: 400 }).chain((n) =>
  fc.tuple(fc.integer({ min: 0, max: n }), fc.constant(n))
);
const methods = ["wilson", "wilson-corrected", "clopper-pearson", "jeffreys"] as const;

describe("shares", () => {
  test("shareEstimate() carries the unit and further counts", () => {
    expect(shareEstimate(3, 12, { unit: "signals", counts: { sites: 4 } })).toMatchObject({
      value: 0.25,
      n: { sites: 4, signals: 12 },
      interval: { level: 0.95, method: "Wilson" },
    });
  });
  test("shareEstimate() of no case is an absence, not 0", () => {
    expect(shareEstimate(0, 0, { unit: "holes" })).toEqual({
      absent: "no cases",
      reason: "A share of no holes does not exist",
      n: { holes: 0 },
    });
  });
  test("intervals lie in 0 to 1, hold the share where they should and mirror", () => {
    fc.assert(
      fc.property(
        counts,
        fc.constantFrom(...methods),
        fc.constantFrom(0.5, 0.9, 0.95, 0.999),
        ([x, n], method, level) => {
          const { low, high } = proportionInterval(x, n, { method, level });
          expect(low).toBeGreaterThanOrEqual(0);
          expect(high).toBeLessThanOrEqual(1);
          expect(low).toBeLessThanOrEqual(high);
          if (method !== "jeffreys") {
            expect(low).toBeLessThanOrEqual(x / n + 1e-12);
            expect(high).toBeGreaterThanOrEqual(x / n - 1e-12);
          }
          const mirror = proportionInterval(n - x, n, { method, level });
          expect(mirror.low).toBeCloseTo(1 - high, 10);
          expect(mirror.high).toBeCloseTo(1 - low, 10);
        },
      ),
      { seed: 1 },
    );
  });
  test("Clopper-Pearson covers at least its level, Wald far less: 20 cases, true share 0.1", () => {
    const covered = (method: "clopper-pearson" | "wald"): number => {
      let sum = 0, weight = 0.9 ** 20;
      for (let x = 0; x <= 20; x++) {
        const { low, high } = proportionInterval(x, 20, { method });
        if (low <= 0.1 && 0.1 <= high) sum += weight;
        weight *= (20 - x) / (x + 1) / 9;
      }
      return sum;
    };
    expect(covered("clopper-pearson")).toBeGreaterThanOrEqual(0.95);
    expect(covered("wald")).toBeLessThan(0.9);
  });
  test("the correction widens Wilson's interval", () => {
    const plain = wilsonInterval(7, 30), wide = wilsonInterval(7, 30, { correction: true });
    expect(wide.low).toBeLessThan(plain.low);
    expect(wide.high).toBeGreaterThan(plain.high);
    expect(wide.method).toBe("Wilson with continuity correction");
  });
  test("refusals say the rule and the value", () => {
    expect(() => wilsonInterval(3, 2)).toThrow(
      new RangeError("Cannot give an interval for a proportion: successes must be at most n = 2, got 3"),
    );
    expect(() => wilsonInterval(0, 0)).toThrow(
      new RangeError("Cannot give an interval for a proportion: n must be 1 or above, got 0"),
    );
    expect(() => wilsonInterval(1.5, 2)).toThrow(
      new RangeError(
        "Cannot give an interval for a proportion: successes must be a whole number of 0 or above, got 1.5",
      ),
    );
    expect(() => wilsonInterval(1, 2, { level: 1 })).toThrow(
      new RangeError("Cannot give an interval for a proportion: level must be between 0 and 1, got 1"),
    );
    expect(isPresent(shareEstimate(1, 1))).toBe(true);
  });
});
