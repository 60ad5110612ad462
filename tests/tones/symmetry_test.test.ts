import { describe, expect, test } from "vitest";
import { symmetryTest } from "../../lib/tones/symmetry_test.ts";

describe("symmetryTest()", () => {
  test("is McNemar's test for two bands", () => {
    // Agresti (1990), Categorical Data Analysis, p. 350: z^2 = 17.36 for 150 against 86 (from memory).
    const test = symmetryTest([[794, 150], [86, 570]]);
    if ("absent" in test) throw new Error("absent");
    expect(test.chiSquared).toBeCloseTo(17.3559322033898, 10);
    expect(test.p).toBeCloseTo(3.09929344104522e-5, 12);
    expect(test).toMatchObject({ degreesOfFreedom: 1, disagreements: 236, above: 150, below: 86 });
  });
  test("adds pairs across the diagonal and leaves out empty ones", () => {
    // By hand: (10 - 4)^2 / 14 + (3 - 0)^2 / 3 = 2.5714286 + 3; the third pair is empty. With two degrees of freedom p = exp(-x / 2).
    const test = symmetryTest([[5, 10, 3], [4, 5, 0], [0, 0, 9]]);
    if ("absent" in test) throw new Error("absent");
    expect(test.chiSquared).toBeCloseTo(36 / 14 + 3, 12);
    expect(test.degreesOfFreedom).toBe(2);
    expect(test.p).toBeCloseTo(Math.exp(-(36 / 14 + 3) / 2), 12);
  });
  test("is absent where nothing moved, and refuses what is no square table of counts", () => {
    expect(symmetryTest([[4, 0], [0, 2]])).toMatchObject({ absent: "no moves", n: { counts: 6 } });
    expect(symmetryTest([])).toMatchObject({ absent: "no moves", n: { counts: 0 } });
    expect(() => symmetryTest([[1, 2]])).toThrow(
      new RangeError("Cannot test symmetry: need a square table, got 1 rows"),
    );
    expect(() => symmetryTest([[1.5]])).toThrow(
      new RangeError("Cannot test symmetry: counts are whole numbers of 0 or above, got 1.5"),
    );
  });
});
