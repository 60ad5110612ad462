import { expect, test } from "vitest";
import { drawnMedian } from "../../lib/model/_drawn_median.ts";
import { chance, median } from "../../lib/numbers/mod.ts";

test("the median of places drawn with repeats is that of the values they name", () => {
  const draw = chance(1, "test/drawn median");
  for (let round = 0; round < 300; round++) {
    // Few different values, so that ties fall on the middle, in odd and even numbers.
    const values = Float64Array.from({ length: 1 + draw.integer(30) }, () => draw.integer(8) / 4 - 1);
    const picked = Int32Array.from({ length: 1 + draw.integer(60) }, () => draw.integer(values.length));
    expect(drawnMedian(values)(picked)).toBe(median(Float64Array.from(picked, (at) => values[at]!)));
  }
  expect(drawnMedian(Float64Array.of(1))(new Int32Array(0))).toBeNaN();
});
