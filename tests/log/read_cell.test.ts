import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { CellFault, cellSchema, fieldOf, FIELDS, readCell, rowSchema } from "../../lib/log/mod.ts";

const rule = (table: "signal" | "find" | "outing" | "trial", name: string, cell: string) => {
  const value = readCell(fieldOf(table, name), cell);
  return value instanceof CellFault ? [value.rule, value.nearest] : value;
};

describe("readCell()", () => {
  test("reads words in any case, with spaces or underscores for hyphens", () => {
    expect(rule("signal", "after_turn", " Not_tried ")).toBe("not-tried");
    expect(rule("find", "metal", "NON FERROUS")).toBe("non-ferrous");
  });
  test("names the words and the nearest for an unknown one", () => {
    expect(rule("find", "metal", "ferous")).toEqual([
      "must be one of ferrous, non-ferrous, both, not-sure",
      "ferrous",
    ]);
    expect(rule("find", "metal", "zinc")).toEqual([
      "must be one of ferrous, non-ferrous, both, not-sure",
      null,
    ]);
  });
  test("reads numbers with a point only, inside their limits", () => {
    expect(rule("find", "depth_cm", "12.5")).toBe(12.5);
    for (const cell of ["12,5", "12cm", "1e3", "0x10", "12.", ".5", "twelve", "Infinity", "1 2"]) {
      expect(rule("find", "depth_cm", cell)).toEqual([
        "must be a number with a decimal point and no unit",
        null,
      ]);
    }
    expect(rule("find", "depth_cm", "-1")).toEqual(["must be 0 or more", null]);
    expect(rule("find", "depth_cm", "301")).toEqual(["must be 300 or less", null]);
    expect(rule("signal", "silent_right", "1.5")).toEqual(["must be a whole number", null]);
    expect(rule("signal", "latitude", "9".repeat(400))).toEqual(["must be a number of ordinary size", null]);
    expect(Object.is(rule("signal", "latitude", "-0"), 0)).toBe(true);
  });
  test("reads depth as centimetres or a word", () => {
    expect(rule("signal", "depth_indicated", "Middle")).toBe("middle");
    expect(rule("signal", "depth_indicated", "15")).toBe(15);
    expect(rule("signal", "depth_indicated", "midle")).toEqual([
      "must be centimetres or one of shallow, middle, deep",
      "middle",
    ]);
    expect(rule("signal", "depth_indicated", "999")).toEqual(["must be 300 or less", null]);
  });
  test("reads real days and months only", () => {
    for (const good of ["2024-02-29", "2023-12-31", "2024-05", "2000-02-29"]) {
      expect(rule("outing", "date", good)).toBe(good);
    }
    for (
      const bad of [
        "2023-02-29",
        "1900-02-29",
        "2024-13-01",
        "2024-04-31",
        "2024-4-1",
        "01/02/2024",
        "2024-00",
        "0000-01-01",
      ]
    ) {
      expect(rule("outing", "date", bad)).toEqual(["must be a date as YYYY-MM-DD", null]);
    }
  });
  test("reads times of the day, with or without a day", () => {
    for (
      const good of [
        "09:30",
        "23:59:59",
        "2024-05-01T09:30",
        "2024-05-01 09:30:15.5Z",
        "2024-05-01T09:30+02:00",
        "2024-05-01",
      ]
    ) {
      expect(rule("signal", "seen_at", good)).toBe(good);
    }
    for (const bad of ["24:00", "9:30", "2024-05T09:30", "2024-02-30T09:30", "noon"]) {
      expect(rule("signal", "seen_at", bad)).toEqual(["must be a time as YYYY-MM-DDTHH:MM or HH:MM", null]);
    }
  });
  test("takes any text where words are only preferred, and limits length", () => {
    expect(rule("outing", "ground", "Clay")).toBe("clay");
    expect(rule("outing", "ground", "by the barn")).toBe("by the barn");
    expect(rule("signal", "signal_id", "x".repeat(101))).toEqual(["must be 100 characters or fewer", null]);
  });
});

test("readCell() and cellSchema() state one rule, for every field", () => {
  const fields = Object.values(FIELDS).flat();
  const likely = fc.constantFrom(
    "yes",
    "No",
    "not-tried",
    "not tried",
    "ferrous",
    "none",
    "12",
    "-3",
    "1.5",
    "0",
    "999",
    "1e3",
    "",
    "  ",
    "2024-05-01",
    "2024-05",
    "2023-02-29",
    "09:30",
    "2024-05-01T09:30",
    "shallow",
    "Deep",
    "clay",
    "x",
    "38 x 40",
    "9".repeat(20),
    "y".repeat(150),
    "y".repeat(250),
    "+4",
    "-0",
  );
  fc.assert(
    fc.property(fc.constantFrom(...fields), fc.oneof(likely, fc.string({ maxLength: 12 })), (field, cell) => {
      const quick = readCell(field, cell);
      const stated = cellSchema(field).safeParse(cell);
      expect(stated.success).toBe(!(quick instanceof CellFault));
      if (stated.success) expect(stated.data).toEqual(quick);
    }),
    { numRuns: 5000 },
  );
});

test("rowSchema() checks a whole row", () => {
  const schema = rowSchema(FIELDS.find.filter((field) => ["metal", "keep"].includes(field.name)));
  expect(schema.parse({ metal: "Both", keep: "" })).toEqual({ metal: "both", keep: null });
  expect(schema.safeParse({ metal: "tin", keep: "" }).success).toBe(false);
});
