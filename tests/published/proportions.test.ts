import { describe, expect, test } from "vitest";
import { proportionInterval, type ProportionMethod, wilsonInterval } from "../../lib/numbers/mod.ts";
import proportions from "./data/proportions.json" with { type: "json" };
import { expectAbsolute } from "./_close.ts";

// Closed forms 1e-10; those that invert a beta distribution 1e-9.
const methods: [string, ProportionMethod, number][] = [
  ["wilson", "wilson", 1e-10],
  ["wilson_cc", "wilson-corrected", 1e-10],
  ["clopper_pearson", "clopper-pearson", 1e-9],
  ["wald_raw", "wald", 1e-10],
  ["jeffreys", "jeffreys", 1e-9],
];

for (const [name, set] of Object.entries(proportions)) {
  describe(`intervals for a proportion, ${name}`, () => {
    for (const { x, n } of set.data.cases) {
      const expected: Record<string, number[]> =
        (set.expected as Record<string, Record<string, number[]>>)[`${x}/${n}`]!;
      test.each(methods)(`${x} of ${n}: %s`, (key, method, tolerance) => {
        const { low, high } = proportionInterval(x, n, { method });
        expectAbsolute(low, expected[key]![0]!, tolerance);
        expectAbsolute(high, expected[key]![1]!, tolerance);
        if (x === 0 && method !== "jeffreys") expect(low).toBe(0);
        if (x === n && method !== "jeffreys") expect(high).toBe(1);
      });
      test(`${x} of ${n}: wilsonInterval() at 90 %`, () => {
        const { low, high } = wilsonInterval(x, n, { level: 0.9 });
        expectAbsolute(low, expected.wilson90![0]!, 1e-10);
        expectAbsolute(high, expected.wilson90![1]!, 1e-10);
      });
    }
  });
}
