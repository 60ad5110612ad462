import { describe, expect, test } from "vitest";
import {
  type ColumnMapping,
  columnMappingSchema,
  mappableFields,
  mappedField,
  mappingText,
  parseMapping,
} from "../../lib/log/mapping.ts";
import { faultOf } from "./_helpers.ts";

const of = (rest: object): string => JSON.stringify({ schema: "overiron-columns/1", ...rest });
const message = async (rest: object): Promise<string> =>
  (await faultOf(() => parseMapping(of(rest)))).message;
const head = "Cannot use mapping.json: it must follow overiron-columns/1, got ";

test("parseMapping() takes the shortest mapping, with a byte order mark too", () => {
  const empty = {
    schema: "overiron-columns/1",
    columns: [],
    constants: {},
    empty: [],
    readings: {},
    finds: [],
    rule: {},
  };
  expect(parseMapping(of({}))).toEqual(empty);
  expect(parseMapping(`\ufeff${of({})}`)).toEqual(empty);
});

describe("parseMapping() refuses", () => {
  test("what is no JSON, or of another version", async () => {
    const fault = await faultOf(() => parseMapping("{", "m.json"));
    expect(fault.name).toBe("FileFault");
    expect(fault.message).toMatch(/^Cannot read m\.json: it must be JSON, got /);
    expect((await faultOf(() => parseMapping('{"schema":"overiron-columns/2"}'))).message).toContain(
      "schema:",
    );
  });
  test("a field that the table does not have, with the nearest", async () => {
    expect(await message({ columns: [{ heading: "a", field: "siet" }] })).toBe(
      `${head}columns.0.field: No such field of signals: "siet"; nearest is "site"`,
    );
    expect(await message({ table: "trials", columns: [{ heading: "a", field: "dug" }] })).toContain(
      "No such field of trials",
    );
    expect(await message({ columns: [{ heading: "a", field: "__proto__" }] })).toContain("No such field");
    expect(await message({ columns: [{ heading: "a", field: "constructor" }] })).toContain("No such field");
  });
  test("two columns for one field, or for one pass", async () => {
    const twice = (...columns: object[]) =>
      message({ columns: columns.map((each, i) => ({ heading: `h${i}`, ...each })) });
    expect(await twice({ field: "site" }, { field: "site" })).toBe(
      `${head}columns.1.field: Two columns mean site`,
    );
    expect(await twice({ field: "readings", pass: 1 }, { field: "readings", pass: 1 })).toContain(
      "Two columns mean pass 1 of readings",
    );
    expect(await twice({ field: "readings_left", pass: 1 }, { field: "readings_left" })).toContain(
      "Two columns mean readings_left",
    );
    expect(await twice({ field: "readings_left" }, { field: "readings_left", pass: 2 })).toContain(
      "Two columns mean",
    );
    expect(await twice({ field: "readings_left" }, { field: "readings" })).toContain(
      "columns.1.field: readings makes readings_left, which another column means",
    );
    expect(await twice({ field: "iron_distance" }, { field: "iron_evidence" })).toContain(
      "iron_distance makes iron_evidence",
    );
  });
  test("an option without effect", async () => {
    for (
      const [field, option] of [
        ["site", { unit: "cm" }],
        ["site", { pass: 1 }],
        ["site", { order: "day-month-year" }],
        ["seen_at", { zone: "Z" }],
        ["dug", { decimal: "comma" }],
        ["readings_left", { words: {} }],
        ["dug", { depth_order: ["a"] }],
        ["notes", { split: ["+"] }],
        ["site", { refuse: ["a"] }],
        ["dug", { century: 2000 }],
      ] as const
    ) {
      expect(await message({ columns: [{ heading: "a", field, ...option }] })).toContain(
        `Has no effect on ${field}`,
      );
    }
    expect(await message({ columns: [{ heading: "a", field: null, unit: "cm" }] })).toContain("left out");
  });
  test("a word that the field does not have, with the nearest", async () => {
    expect(await message({ columns: [{ heading: "a", field: "metal", words: { Fe: "ferous" } }] })).toContain(
      'columns.0.words.Fe: Must be one of ferrous, non-ferrous, both, not-sure, got "ferous"; nearest is "ferrous"',
    );
  });
  test("a constant of no field, of the wrong kind, of an id, or beside its column", async () => {
    expect(await message({ constants: { place: "x" } })).toContain(
      "constants.place: No such field of signals",
    );
    expect(await message({ constants: { date: "soon" } })).toContain(
      "constants.date: date must be a date as YYYY-MM-DD",
    );
    expect(await message({ constants: { signal_id: "1" } })).toContain("Must differ from row to row");
    expect(await message({ constants: { site: "x" }, columns: [{ heading: "a", field: "site" }] })).toContain(
      "A column means it already",
    );
  });
  test("distances that fall, and unknown keys", async () => {
    expect(await message({ rule: { touching_cm: 9 } })).toContain("Distances must rise");
    expect(await message({ colums: [] })).toContain("colums");
    expect(await message({ columns: [{ heading: "a", field: "date", zone: "Nowhere/Town" }] })).toContain(
      "Must be an offset",
    );
  });
});

test("mappingText() writes a column a line and what it writes is read back equal", () => {
  const mapping: ColumnMapping = columnMappingSchema.parse({
    schema: "overiron-columns/1",
    table: "signals",
    columns: [
      { heading: 'De"pth\n(in)', field: "depth_cm", unit: "in", decimal: "comma" },
      { heading: "__proto__", field: null },
      { heading: "constructor", field: "dug", words: { constructor: "yes", "": "no" } },
      { heading: "found", field: "what", split: [" + ", "&"] },
    ],
    constants: { site: "here" },
    ids: "row-number",
    empty: ["-"],
    readings: { comma: "decimal", silent_words: ["no tone"] },
    finds: [{ word: "nail", metal: "ferrous", keep: "no" }, { word: "{ [ }" }],
    rule: { in_plug_cm: 9, repeat_limits: { "Machine A": 12 } },
  });
  const text = mappingText(mapping);
  expect(parseMapping(text)).toEqual(mapping);
  expect(text.split("\n")).toContain('    { "word": "nail", "metal": "ferrous", "keep": "no" },');
  expect(text.split("\n").length).toBe(20);
});

test("mappedField() knows numbered finds in a flat log only", () => {
  expect(mappedField("signals", "metal_2")?.name).toBe("metal");
  expect(mappedField("signals", "site_2")).toBe(null);
  expect(mappedField("finds", "metal_2")).toBe(null);
  expect(mappedField("signals", "toString")).toBe(null);
  const names = mappableFields("signals").map((field) => field.name);
  expect(new Set(names).size).toBe(names.length);
  expect(names).toEqual(expect.arrayContaining(["site", "dug", "what", "observer"]));
});
