import { describe, expect, test } from "vitest";
import {
  checkFeatureTable,
  type FeatureTable,
  takeFeatures,
  takeRows,
} from "../../lib/model/feature_table.ts";

function tableOf(columns: Record<string, number[]>, why: Record<string, number[]> = {}): FeatureTable {
  const names = Object.keys(columns), n = columns[names[0]!]!.length;
  const group = Int32Array.from({ length: n }, (_, i) => i % 2);
  return {
    n,
    names,
    columns: names.map((name) => Float64Array.from(columns[name]!)),
    whyMissing: names.map((name) => Uint8Array.from(why[name] ?? columns[name]!.map(() => 0))),
    groups: { site: group, outing: group, observer: group },
  };
}

describe("checkFeatureTable()", () => {
  test("passes a table whose missing cells have a reason", () => {
    expect(() => checkFeatureTable(tableOf({ centre: [1, NaN] }, { centre: [0, 1] }))).not.toThrow();
  });
  test("refuses NaN and infinity without a reason as a TypeError", () => {
    for (const value of [NaN, Infinity, -Infinity]) {
      const bad = () => checkFeatureTable(tableOf({ centre: [1, value] }));
      expect(bad).toThrow(TypeError);
      expect(bad).toThrow(
        /^Cannot use feature table: centre, row 1 must be a finite number or missing with a reason/,
      );
    }
  });
  test("refuses a number that is called missing", () => {
    expect(() => checkFeatureTable(tableOf({ centre: [1, 2] }, { centre: [0, 3] }))).toThrow(
      "Cannot use feature table: centre, row 1 is called missing and must be NaN, got 2",
    );
  });
  test("refuses lengths, names and reasons that do not fit", () => {
    const table = tableOf({ centre: [1, 2] });
    expect(() => checkFeatureTable({ ...table, n: 3 })).toThrow(RangeError);
    expect(() => checkFeatureTable({ ...table, names: ["a", "b"] })).toThrow(
      /one column and one list of reasons a name/,
    );
    expect(() => checkFeatureTable(tableOf({ centre: [NaN] }, { centre: [4] }))).toThrow(
      /reasons are 0 to 3, got 4/,
    );
    const twice = {
      ...table,
      names: ["a", "a"],
      columns: [...table.columns, ...table.columns],
      whyMissing: [...table.whyMissing, ...table.whyMissing],
    };
    expect(() => checkFeatureTable(twice)).toThrow(/names must differ/);
  });
});

describe("takeRows() and takeFeatures()", () => {
  const table = tableOf({ centre: [1, 2, 3], spread: [4, NaN, 6] }, { spread: [0, 2, 0] });
  test("take rows in the order asked, with their groups and reasons", () => {
    const taken = takeRows(table, [2, 1, 1]);
    expect([...taken.columns[0]!]).toEqual([3, 2, 2]);
    expect([...taken.whyMissing[1]!]).toEqual([0, 2, 2]);
    expect([...taken.groups.site]).toEqual([0, 1, 1]);
  });
  test("take features by name, and refuse what is not there", () => {
    expect(takeFeatures(table, ["spread"]).names).toEqual(["spread"]);
    expect(() => takeFeatures(table, ["depth"])).toThrow(
      'Cannot take feature: it must be one of centre, spread, got "depth"',
    );
    expect(() => takeRows(table, [3])).toThrow("Cannot take rows: each must be from 0 to 2, got 3");
  });
});
