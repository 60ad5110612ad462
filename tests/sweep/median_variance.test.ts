import { expect, test } from "vitest";
import { chance, median } from "../../lib/numbers/mod.ts";
import { medianVariance } from "../../lib/sweep/mod.ts";

test("medianVariance() agrees with a simulation of 40,000 medians, exact table and approximation", () => {
  for (const n of [1, 2, 3, 4, 6, 9, 10, 15]) {
    const draws = chance(3, "test/median", n);
    let squares = 0;
    for (let i = 0; i < 40_000; i++) squares += median(Array.from({ length: n }, () => draws.normal())) ** 2;
    // Relative standard error of a variance from 40,000 draws: sqrt(2/40000) = 0.7 %; four of them.
    expect(Math.abs(squares / 40_000 / medianVariance(n) - 1)).toBeLessThan(0.035);
  }
});

test("medianVariance() refuses what is not a count", () => {
  expect(() => medianVariance(0)).toThrow("n must be a whole number of 1 or above, got 0");
});
