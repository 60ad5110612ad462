import { describe, expect, test } from "vitest";
import { fillDesign, learnDesign, nameOfColumn } from "../../lib/model/_design.ts";
import type { FeatureTable } from "../../lib/model/feature_table.ts";

function tableOf(
  columns: Record<string, readonly number[]>,
  why: Record<string, readonly number[]>,
): FeatureTable {
  const names = Object.keys(columns), n = columns[names[0]!]!.length, group = new Int32Array(n);
  return {
    n,
    names,
    columns: names.map((name) => Float64Array.from(columns[name]!)),
    whyMissing: names.map((name) => Uint8Array.from(why[name] ?? columns[name]!.map(() => 0))),
    groups: { site: group, outing: group, observer: group },
  };
}

const ones = (n: number) => new Float64Array(n).fill(1);

describe("learnDesign() and fillDesign()", () => {
  test("a number is centred and scaled, a missing one is the mean, silence has a switch and 'not logged' has none", () => {
    const x = tableOf({ centre: [1, 3, NaN, NaN] }, { centre: [0, 0, 1, 3] });
    const design = learnDesign(x, ones(4));
    expect(design.map(nameOfColumn)).toEqual(["centre", "centre silent"]);
    const filled = fillDesign(design, x, "test");
    // Limits by type 7: 1.1 and 2.9, so mean 2 and standard deviation 0.9: the two numbers are -1 and 1.
    [-1, 1, 0, 0].forEach((value, i) => expect(filled[2 * i]).toBeCloseTo(value, 12));
    [-0.25, -0.25, 0.75, -0.25].forEach((value, i) => expect(filled[2 * i + 1]).toBeCloseTo(value, 12));
  });
  test("one wild number counts as the end of the inner nine tenths", () => {
    const values = Array.from({ length: 41 }, (_, i) => i);
    const wild = [...values.slice(0, 40), 1e6];
    const design = learnDesign(tableOf({ spread: wild }, {}), ones(41));
    expect([design[0]!.low, design[0]!.high]).toEqual([2, 38]);
    const filled = fillDesign(design, tableOf({ spread: [38, 1e9, -1e9] }, {}), "test");
    expect(filled[1]).toBe(filled[0]);
    expect(Math.abs(filled[2]!)).toBeLessThan(3);
  });
  test("drops what does not vary, what nobody logged, and a switch equal to an earlier one", () => {
    const x = tableOf(
      { centre: [5, 5, 5], depth: [NaN, NaN, NaN], spread: [1, 2, NaN], asymmetry: [4, 1, NaN] },
      { depth: [3, 3, 3], spread: [0, 0, 1], asymmetry: [0, 0, 1] },
    );
    expect(learnDesign(x, ones(3)).map(nameOfColumn)).toEqual(["spread", "asymmetry", "spread silent"]);
  });
  test("learns from rows with a weight alone", () => {
    const x = tableOf({ centre: [1, 3, 100] }, {});
    expect(learnDesign(x, Float64Array.of(1, 1, 0))).toEqual(
      learnDesign(tableOf({ centre: [1, 3] }, {}), ones(2)),
    );
  });
  test("refuses a table without the feature", () => {
    const design = learnDesign(tableOf({ centre: [1, 3] }, {}), ones(2));
    expect(() => fillDesign(design, tableOf({ spread: [1] }, {}), "logistic")).toThrow(
      'Cannot use logistic: the table needs the feature "centre", got spread',
    );
  });
});
