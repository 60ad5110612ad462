import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { firthLogistic, logisticRegression } from "../../lib/numbers/mod.ts";

function fitted(...args: Parameters<typeof firthLogistic>) {
  const fit = firthLogistic(...args);
  if (fit.status !== "converged") throw new Error(fit.reason);
  return fit;
}

describe("firthLogistic()", () => {
  test("an intercept alone is the log odds with a half added to both counts", () => {
    // Firth (1993), Biometrika 80:27-38, section 3.1: log((y + 1/2) / (n - y + 1/2)).
    for (const [y, n] of [[3, 10], [0, 7], [12, 12]] as const) {
      const fit = fitted([], [y], { trials: [n] });
      expect(fit.coefficients[0]).toBeCloseTo(Math.log((y + 0.5) / (n - y + 0.5)), 9);
      expect(fit.separated).toBe(y === 0 || y === n);
    }
  });

  test("a two by two table gives the log odds ratio with a half added to every cell", () => {
    // Heinze and Schemper (2002), Statistics in Medicine 21:2409-2419: for one yes-or-no column Firth's estimate is that of Haldane (1956) and
    // Anscombe (1956). Also with an empty cell, where maximum likelihood gives no number.
    for (const [a, b, c, d] of [[8, 2, 3, 9], [5, 0, 4, 6], [1, 30, 0, 12]] as const) {
      const fit = fitted([[1, 0]], [a, c], { trials: [a + b, c + d] });
      expect(fit.coefficients[1]).toBeCloseTo(Math.log((a + 0.5) * (d + 0.5) / ((b + 0.5) * (c + 0.5))), 8);
      expect(fit.coefficients[0]).toBeCloseTo(Math.log((c + 0.5) / (d + 0.5)), 8);
      // The information of a saturated table: the sum of 1 / (n p (1 - p)).
      const odds = (x: number, n: number) => n * ((x + 0.5) / (n + 1)) * (1 - (x + 0.5) / (n + 1));
      const variance = 1 / odds(a, a + b) + 1 / odds(c, c + d);
      expect(fit.covariance[1]![1]).toBeCloseTo(variance, 8);
    }
  });

  test("is the highest point of likelihood times root of the information, also where the outcomes are told apart", () => {
    const x = [-2.1, -1.4, -0.3, 0.4, 1.2, 2.5, 3.3], y = [0, 0, 0, 0, 1, 1, 1];
    const value = (a: number, b: number) => {
      let log = 0, i00 = 0, i01 = 0, i11 = 0;
      x.forEach((each, i) => {
        const p = 1 / (1 + Math.exp(-(a + b * each)));
        log += y[i] === 1 ? Math.log(p) : Math.log(1 - p);
        i00 += p * (1 - p);
        i01 += p * (1 - p) * each;
        i11 += p * (1 - p) * each * each;
      });
      return log + 0.5 * Math.log(i00 * i11 - i01 * i01);
    };
    const fit = fitted([x], y);
    expect(fit.separated).toBe(true);
    const [a, b] = fit.coefficients as [number, number], top = value(a, b);
    for (const [da, db] of [[1e-3, 0], [-1e-3, 0], [0, 1e-3], [0, -1e-3], [0.3, 0.2], [-0.5, 0.4]] as const) {
      expect(value(a + da, b + db)).toBeLessThan(top);
    }
    expect(logisticRegression([x], y).status).toBe("separated");
  });

  test("comes close to maximum likelihood with many rows, and the sandwich to the plain errors where rows are independent", () => {
    const rows = 4000, x = Array.from({ length: rows }, (_, i) => (i % 41 - 20) / 10);
    const y = x.map((each, i) => (i * 0.6180339887498949) % 1 < 1 / (1 + Math.exp(0.4 - 1.3 * each)) ? 1 : 0);
    const fit = fitted([x], y), plain = logisticRegression([x], y);
    if (plain.status !== "converged") throw new Error(plain.reason);
    expect(fit.coefficients[1]).toBeCloseTo(plain.coefficients[1]!, 2);
    expect(fit.separated).toBe(false);
    // Drawn evenly, not by chance: no more than a rough likeness can be asked.
    expect(Math.sqrt(fit.robustCovariance![1]![1]!) / fit.standardErrors[1]!).toBeGreaterThan(0.5);
    expect(Math.sqrt(fit.robustCovariance![1]![1]!) / fit.standardErrors[1]!).toBeLessThan(1.5);
  });

  test("rows repeated within a cluster do not make the sandwich narrower", () => {
    const x = [1, 2, 3, 4, 5, 6, 7, 8], y = [0, 0, 1, 0, 1, 0, 1, 1], id = x.map((_, i) => i);
    const five = <T>(list: readonly T[]) => list.flatMap((each) => [each, each, each, each, each]);
    const weighted = fitted([five(x)], five(y), { weights: five(x).map(() => 0.2), cluster: five(id) });
    const once = fitted([x], y, { cluster: id });
    expect(weighted.coefficients[1]).toBeCloseTo(once.coefficients[1]!, 8);
    expect(weighted.robustCovariance![1]![1]).toBeCloseTo(once.robustCovariance![1]![1]!, 8);
  });

  test("stays finite whatever the outcomes, and turns with them", () => {
    fc.assert(
      fc.property(
        fc.array(fc.record({ x: fc.integer({ min: -20, max: 20 }), y: fc.integer({ min: 0, max: 1 }) }), {
          minLength: 3,
          maxLength: 30,
        }),
        (rows) => {
          const x = rows.map((row) => row.x), y = rows.map((row) => row.y);
          const fit = firthLogistic([x], y);
          if (new Set(x).size === 1) {
            expect(fit.status).toBe("collinear");
            return;
          }
          if (fit.status !== "converged") throw new Error(`${fit.status}: ${fit.reason}`);
          expect([...fit.coefficients, ...fit.standardErrors].every(Number.isFinite)).toBe(true);
          const turned = fitted([x], y.map((each) => 1 - each));
          expect(turned.coefficients[1]).toBeCloseTo(-fit.coefficients[1]!, 5);
        },
      ),
      { numRuns: 200, seed: 1 },
    );
  });

  test("refuses an outcome above its trials and says which row", () => {
    expect(() => firthLogistic([[1, 2]], [0, 3], { trials: [2, 2] })).toThrow(
      new RangeError("Cannot fit a logistic regression: outcomes must be from 0 to 2, got 3 in row 1"),
    );
  });
});
