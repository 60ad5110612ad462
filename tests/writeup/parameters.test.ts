import { describe, expect, test } from "vitest";
import { checkParameters, injectedSource } from "../../lib/writeup/_parameters.ts";
import { parseCell } from "../../lib/writeup/parse_cell.ts";
import { seasonParametersSchema } from "../../lib/writeup/season_parameters.ts";

const declared = (source: string): ReadonlyMap<string, unknown> => {
  const read = parseCell(source);
  if ("line" in read) throw new Error(read.message);
  return read.declared;
};

describe("parameters of a notebook", () => {
  test("a list of numbers is declared, checked and written as one", () => {
    const cell = declared("const worths = [3, -5, 10];\nconst seed = 1;\nconst other = [seed];");
    expect(cell.get("worths")).toEqual([3, -5, 10]);
    expect(cell.get("other")).toBeUndefined();
    checkParameters({ worths: [4], seed: 2 }, cell);
    expect(injectedSource({ worths: [4, 8], level: 0.8 })).toBe("const worths = [4,8];\nconst level = 0.8;");
  });
  test("a number for a list, a list for a number, and a number in it that is not finite are refused", () => {
    const cell = declared("const worths = [3];\nconst seed = 1;");
    expect(() => checkParameters({ worths: 4 }, cell)).toThrow(
      new TypeError("Cannot set parameter worths: it must be a list, got a number"),
    );
    expect(() => checkParameters({ seed: [4] }, cell)).toThrow(
      new TypeError("Cannot set parameter seed: it must be a number, got a list"),
    );
    expect(() => checkParameters({ worths: [4, NaN] }, cell)).toThrow(
      new RangeError("Cannot set parameter worths: it must be finite, got NaN"),
    );
  });
});

describe("seasonParametersSchema", () => {
  const fits = (value: unknown) => seasonParametersSchema.safeParse(value).success;
  test("takes what a person may set, and nothing beside it: a record from elsewhere is read with it", () => {
    expect([{}, { level: 0.9 }, { worths: [2, 5] }].map(fits)).toEqual([true, true, true]);
    for (
      const bad of [{ level: 1 }, { level: "0.9" }, { worths: [] }, { worths: [1] }, { worths: 5 }, {
        data: "/etc",
      }, { worths: [2, 3, 4, 5] }]
    ) expect(fits(bad), JSON.stringify(bad)).toBe(false);
  });
});
