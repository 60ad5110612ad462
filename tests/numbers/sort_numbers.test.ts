import { expect, test } from "vitest";
import { chance, sortNumbers } from "../../lib/numbers/mod.ts";

test("sortNumbers() sorts few and many as the general sort does, ties among them, where they are", () => {
  for (const n of [0, 1, 2, 5, 24, 25, 60]) {
    const draws = chance(2, "test/sort", n);
    const values = Float64Array.from({ length: n }, () => draws.integer(20) - 10);
    const sorted = [...values].sort((a, b) => a - b);
    expect(sortNumbers(values)).toBe(values);
    expect([...values]).toEqual(sorted);
  }
});
