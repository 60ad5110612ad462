import { describe, expect, test } from "vitest";
import { tonesConfusion } from "../../lib/figures/tones_confusion.ts";
import { bandTable } from "../../lib/tones/band_table.ts";
import { deepFreeze } from "../tones/_log_rows.ts";

const options = { name: "clean", rowTitle: "band clean", columnTitle: "band together" };
const table = (rows: string[], columns: string[], entries: [number, number, number][]) =>
  deepFreeze(bandTable(entries.map(([row, column, count]) => ({ row, column, count, cluster: "a" })), {
    of: {},
    unit: "trials",
    rows,
    columns,
  }));
const texts = (svg: string) => [...svg.matchAll(/<text[^>]*>([^<]*)<\/text>/g)].map((hit) => hit[1]);

describe("tonesConfusion()", () => {
  const svg = tonesConfusion(
    table(["iron", "low", "silent"], ["iron", "low", "silent"], [[0, 0, 3], [1, 0, 1], [1, 1, 7]]),
    options,
  );
  test("writes counts and row shares into the cells, and leaves out what nobody met", () => {
    expect(texts(svg)).toEqual(
      expect.arrayContaining(["3", "0", "1", "7", "100 %", "13 %", "88 %", "iron (3)", "low (8)"]),
    );
    expect(texts(svg)).not.toContain("silent (0)");
  });
  test("says the same in words", () => {
    expect(svg).toContain(
      'aria-label="Table of 11 trials, band clean by band together. iron: 3 of 3 in iron; low: 7 of 8 in low."',
    );
  });
  test("gives the same bytes each time", () => {
    const again = tonesConfusion(
      table(["iron", "low", "silent"], ["iron", "low", "silent"], [[0, 0, 3], [1, 0, 1], [1, 1, 7]]),
      options,
    );
    expect(again).toBe(svg);
  });
  test("escapes names from a log", () => {
    const hostile = tonesConfusion(table(["<script>alert(1)</script>"], ['"><b>'], [[0, 0, 1]]), options);
    expect(hostile).not.toMatch(/<script|<b>/);
  });
  test("takes ink from the page", () => {
    expect(svg).toContain("currentColor");
    expect(svg).toContain("var(--series-1, #0072B2)");
  });
  test("refuses an empty table", () => {
    expect(() => tonesConfusion(table(["a"], ["b"], []), options)).toThrow(
      new RangeError('Cannot draw "clean": the table has no trials'),
    );
  });
});
