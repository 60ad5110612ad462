import { describe, expect, test } from "vitest";
import { cohenKappa, confusionFromCounts } from "../../lib/numbers/mod.ts";
import { kappaOf } from "../../lib/tones/_agreement.ts";

// Cohen (1960), Educ. Psychol. Meas. 20:37, table 1 (N = 200), from memory: kappa .492. Weighted value: linear weights
// 1 - |i - j| / 2 on the same table by hand arithmetic, exactly 9/19.
const cohen = [88, 14, 18, 10, 40, 10, 2, 6, 12];

describe("kappaOf()", () => {
  test("gives Cohen's published kappa", () => {
    expect(kappaOf(cohen, 3, "equal")).toBeCloseTo(29 / 59, 12);
    expect(kappaOf(cohen, 3, "equal")!.toFixed(3)).toBe("0.492");
  });
  test("gives linearly weighted kappa", () => {
    expect(kappaOf(cohen, 3, "linear")).toBeCloseTo(9 / 19, 12);
  });
  test("equals plain kappa when there are two bands", () => {
    expect(kappaOf([5, 2, 1, 9], 2, "linear")).toBeCloseTo(kappaOf([5, 2, 1, 9], 2, "equal")!, 12);
  });
  test("does not exist without counts or within one band", () => {
    expect(kappaOf([0, 0, 0, 0], 2, "equal")).toBeNull();
    expect(kappaOf([4, 0, 0, 0], 2, "equal")).toBeNull();
  });
});

describe("kappaOf() beside cohenKappa()", () => {
  test("gives the same numbers", () => {
    const matrix = confusionFromCounts([[9, 4, 1], [3, 12, 5], [0, 2, 7]]);
    const counts = [9, 4, 1, 3, 12, 5, 0, 2, 7];
    expect(cohenKappa(matrix)).toMatchObject({ value: expect.closeTo(kappaOf(counts, 3, "equal")!, 12) });
    expect(cohenKappa(matrix, { weights: "linear" })).toMatchObject({
      value: expect.closeTo(kappaOf(counts, 3, "linear")!, 12),
    });
  });
});
