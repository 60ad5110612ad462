import { describe, expect, test } from "vitest";
import { nineDigits, type ResultsParts, resultsSchema, writeResults } from "../../lib/writeup/mod.ts";

type Result = ResultsParts["results"][number];
const result = (id: string, of: Record<string, string>, value: number, more: object = {}): Result => ({
  id,
  of,
  unit: "cm",
  value,
  interval: { low: value - 1, high: value + 1, level: 0.95, method: "test" },
  n: { trials: 4 },
  notebook: "2-test-garden",
  ...more,
});
const write = (results: readonly Result[], more: Partial<ResultsParts> = {}) =>
  writeResults({
    seed: 1,
    inputs: [{ role: "dig-log", rows: 3 }],
    headline: [],
    results,
    tables: [],
    ...more,
  });

describe("writeResults()", () => {
  test("sorts by id and then by what a result is about, whatever the order given", () => {
    const a = result("b.x", { machine: "Machine B" }, 1),
      b = result("b.x", { machine: "Machine A" }, 2),
      c = result("a.y", {}, 3);
    const text = write([a, b, c]);
    expect(write([c, b, a])).toBe(text);
    const ids = JSON.parse(text).results.map((each: Result) => [each.id, each.of?.machine]);
    expect(ids).toEqual([["a.y", undefined], ["b.x", "Machine A"], ["b.x", "Machine B"]]);
    expect(resultsSchema.safeParse(JSON.parse(text)).success).toBe(true);
    expect(text.endsWith("}\n")).toBe(true);
  });

  test("rounds once to nine significant digits and writes no -0", () => {
    const text = JSON.parse(write([result("a.y", {}, 1 / 3)]));
    expect(text.results[0].value).toBe(0.333333333);
    expect(text.results[0].interval).toEqual({
      low: -0.666666667,
      high: 1.33333333,
      level: 0.95,
      method: "test",
    });
    expect(Object.is(nineDigits(-1e-320 * 0), 0)).toBe(true);
    expect(nineDigits(123456789012)).toBe(123456789000);
  });

  test("writes an absence with its reason", () => {
    const absent = {
      id: "a.y",
      unit: "cm",
      absent: "never",
      reason: "Upper limit below zero",
      n: { trials: 3 },
      notebook: "n",
    };
    expect(JSON.parse(write([absent])).results).toEqual([absent]);
  });

  test("takes a number stated twice once, and refuses two that differ", () => {
    const a = result("a.y", { x: "1", y: "2" }, 1),
      again = result("a.y", { y: "2", x: "1" }, 1, { notebook: "4-model" });
    expect(JSON.parse(write([a, again])).results).toHaveLength(1);
    expect(() => write([a, result("a.y", { x: "1", y: "2" }, 1.5)])).toThrow(RangeError);
    expect(() => write([a, result("a.y", { x: "1", y: "2" }, 1.5)])).toThrow(
      /result a\.y about .* was given twice and differs/,
    );
  });

  test.each([
    ["NaN", { value: NaN }],
    ["infinity", { value: Infinity }],
    ["null", { value: null }],
    ["no interval", { interval: undefined }],
    ["a limit that is NaN", { interval: { low: NaN, high: 1, level: 0.95, method: "test" } }],
    ["no count", { n: undefined }],
    ["a count that is no whole number", { n: { trials: 1.5 } }],
    ["a key it does not know", { note: "x" }],
  ])("refuses %s", (_, more) => {
    expect(() => write([result("a.y", {}, 1, more)])).toThrow(RangeError);
    expect(() => write([result("a.y", {}, 1, more)])).toThrow(/^Cannot write results/);
  });

  test("refuses a headline without a result", () => {
    expect(() => write([], { headline: ["a.y"] })).toThrow(
      new RangeError("Cannot write results: the headline a.y has no result"),
    );
  });
});
