import { expect, test } from "vitest";
import { chance, interquartileRange, mean, median } from "../../lib/numbers/mod.ts";
import { noiseSpread } from "../../lib/sweep/mod.ts";

test("noiseSpread() is the same whichever direction has more passes, and grows towards 1.349", () => {
  expect(noiseSpread(2, 5)).toBe(noiseSpread(5, 2));
  expect(noiseSpread(2, 2)).toBeLessThan(noiseSpread(4, 4));
  expect(noiseSpread(16, 16)).toBeLessThan(1.349);
  expect(noiseSpread(16, 16)).toBeGreaterThan(1.2);
});

test("noiseSpread() of two and two is the mean of half-differences, worked by hand", () => {
  // Residuals are -d1/2, d1/2, -d2/2, d2/2 with |d| = sqrt(2)|z|: sorted -b, -a, a, b (a <= b), type 7 quartiles at
  // -(a + 3... ) give IQR = 1.5 a + 0.5 b; E[a] = (2 - sqrt 2)/sqrt(2 pi), E[b] = sqrt 2/sqrt(2 pi) for half-widths |z|/sqrt 2.
  const unit = 1 / Math.SQRT2;
  const mean = Math.sqrt(2 / Math.PI);
  const smaller = (2 - Math.SQRT2) * mean, larger = Math.SQRT2 * mean;
  const expected = unit * (1.5 * smaller + 0.5 * larger);
  expect(Math.abs(noiseSpread(2, 2) / expected - 1)).toBeLessThan(0.04);
});

test("noiseSpread() refuses fewer than four passes", () => {
  expect(() => noiseSpread(1, 2)).toThrow("need 4 passes, got 3");
  expect(() => noiseSpread(-1, 9)).toThrow("whole numbers of 0 or above, got -1");
});

test.each([[0, 4], [1, 3], [2, 2], [3, 2], [5, 4], [16, 16]])(
  "noiseSpread(%i, %i) is the mean of interquartileRange() over the same draws",
  (one, other) => {
    const [few, many] = [one, other].sort((a, b) => a - b) as [number, number];
    const draws = chance(1, `sweep/noise-spread/${few}+${many}`);
    const spreads = Array.from({ length: 4000 }, () =>
      interquartileRange([few, many].flatMap((n) => {
        const readings = Array.from({ length: n }, () => draws.normal());
        return readings.map((reading) => reading - median(readings));
      })));
    // Sums of 4,000 terms in two orders of rounding.
    expect(Math.abs(noiseSpread(one, other) / mean(spreads) - 1)).toBeLessThan(1e-12);
  },
);
