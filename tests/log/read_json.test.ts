import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { FileFault } from "../../lib/log/mod.ts";
import { parseJsonText } from "../../lib/log/_json_text.ts";
import { readJson } from "../../lib/log/read_json.ts";
import { readNdjson } from "../../lib/log/read_ndjson.ts";
import { bytesOf, faultOf } from "./_helpers.ts";

const json = (text: string, options = {}) => readJson(bytesOf(text), { file: "log.json", ...options });
const lines = (text: string, options = {}) => readNdjson(bytesOf(text), { file: "log.ndjson", ...options });

describe("readJson()", () => {
  test("keeps numbers as written, null as empty, and knows the lines", () => {
    const table = json('[\n{"a": 1.50, "b": -0.0},\n\n{"b": null, "c": true, "a": 12345678901234567890}]');
    expect(table.headings).toEqual(["a", "b", "c"]);
    expect([0, 1].map((row) => [0, 1, 2].map((column) => table.cell(row, column)))).toEqual([
      ["1.50", "-0.0", ""],
      ["12345678901234567890", "", "true"],
    ]);
    expect([0, 1].map((row) => table.place(row, 0).line)).toEqual([2, 4]);
  });

  test("reads a list of numbers as passes and an object as columns, and says so", () => {
    const table = json('[{"readings_right": [38, null, 40], "at": {"lat": 1.5, "lon": 2}}]');
    expect(table.headings).toEqual(["readings_right", "at.lat", "at.lon"]);
    expect([0, 1, 2].map((column) => table.cell(0, column))).toEqual(["38 x 40", "1.5", "2"]);
    expect(table.notes?.map(({ text }) => text)).toEqual([
      "A list in a cell was read as passes in order, an empty place (null) as a pass that gave no number",
      "A value inside a value was read as a column named by both, joined by a point",
    ]);
  });

  test("reads a list of lists by its first, and the only list inside an object", () => {
    const table = json('[["a", "b"], [1, "x"], [2], {"a": 1}]');
    expect(table.headings).toEqual(["a", "b"]);
    expect([0, 1, 2].map((row) => [table.width(row), table.fault(row)])).toEqual([
      [2, null],
      [1, null],
      [2, "a row must be a list, as the first is"],
    ]);
    const inside = json('{"made": "2025-03-08", "signals": [{"a": 1}], "none": []}');
    expect(inside.cell(0, 0)).toBe("1");
    expect(inside.notes?.map(({ text, count }) => [text, count])).toEqual([
      ["What stands beside the list of rows was passed over", 2],
    ]);
  });

  test("makes a row with an odd value faulty, and only that row", () => {
    const table = json('[{"a": 1}, {"a": ["x"]}, 5, {"a": {"b": [[1]]}}]');
    expect([0, 1, 2, 3].map((row) => table.fault(row))).toEqual([
      null,
      "a list in a cell must hold numbers or null only",
      "a row must be an object",
      "a list in a cell must hold numbers or null only",
    ]);
    expect(table.cell(2, 0)).toBe("5");
  });

  test("takes headings like __proto__ as headings", () => {
    const table = json('[{"__proto__": 1, "constructor": 2}]');
    expect(table.headings).toEqual(["__proto__", "constructor"]);
    expect([table.cell(0, 0), table.cell(0, 1)]).toEqual(["1", "2"]);
    expect(({} as Record<string, unknown>)["1"]).toBeUndefined();
  });

  test.each([
    ['[{"a":1},]', 'it must be JSON: a value must follow, got "]", line 1'],
    ['[\n{"a":01}]', 'it must be JSON: a comma or a closing brace must follow a member, got "1}]", line 2'],
    ['[{"a":1,\n"a":2}]', "it must be JSON: no two members of an object may share a name, line 2"],
    [
      "[{'a':1}]",
      "it must be JSON: an object's member must have a name in double quotes, got \"'a':1}]\", line 1",
    ],
    ['[{"a":"x\ny"}]', 'it must be JSON: a text must be closed on its line, got "\\ny\\"}]" in it, line 1'],
    ['[{"a":NaN}]', 'it must be JSON: a value must follow, got "NaN}]", line 1'],
    ['[{"a":1}] x', 'it must be JSON: nothing must follow the value, got "x", line 1'],
    ['[{"a":"\\x"}]', 'it must be JSON: a backslash must begin an escape of JSON, got "\\\\x\\"}]", line 1'],
    [
      `${"[".repeat(60)}`,
      "it must be JSON: values must lie 50 deep or less; raise maxDepth (--max-depth) if it is meant, line 1",
    ],
    ["[]", "it must hold a row, got an empty list"],
    ["[{}]", "a row must be an object with a value, got none"],
    ["3", "it must hold a list of objects, one a row, got a single value"],
    ['{"a": 1}', "it must hold a list of objects, one a row, got an object without one"],
    [
      '{"a": [{"x": 1}], "b": [{"x": 1}]}',
      'it must hold a list of objects, one a row, got several: "a", "b"; save each as a file of its own',
    ],
  ])("refuses %j", async (text, message) => {
    const fault = await faultOf(() => json(text));
    expect(fault).toBeInstanceOf(FileFault);
    expect(fault.message).toBe(`Cannot read log.json: ${message}`);
  });

  test("has a limit on depth that an option raises", async () => {
    const deep = `[${'{"a":'.repeat(60)}1${"}".repeat(60)}]`;
    expect((await faultOf(() => json(deep, { maxDepth: 60 }))).message).toContain("must lie 60 deep or less");
    expect(json(deep, { maxDepth: 61 }).headings).toEqual([Array(60).fill("a").join(".")]);
    // The most that the command line takes.
    expect(json(`[${'{"a":'.repeat(999)}1${"}".repeat(999)}]`, { maxDepth: 1000 }).rowCount).toBe(1);
  });

  test("has a limit on cells that an option raises", async () => {
    const text = `[${Array.from({ length: 50 }, (_, i) => `{"h${i}": 1}`).join(",")}]`;
    expect((await faultOf(() => json(text, { maxCells: 200 }))).message).toBe(
      "Cannot read log.json: it must have 200 cells or fewer, empty ones counted, got more; raise maxCells (--max-cells) if it is meant",
    );
    expect(json(text, { maxCells: 2500 }).headings.length).toBe(50);
    expect((await faultOf(() => json(text, { maxCells: 20 }))).message).toContain(
      "it must have 20 values or fewer",
    );
  });
});

describe("readNdjson()", () => {
  test("keeps a broken line as a faulty row, a blank one as a blank row", () => {
    const table = lines('{"a":1}\r\n\r\n{"a":2\r\n[1]\r\n{"b":3}');
    expect(table.headings).toEqual(["a", "b"]);
    expect([0, 1, 2, 3, 4].map((row) => [table.place(row, 0).line, table.fault(row), table.cell(row, 0)]))
      .toEqual([
        [1, null, "1"],
        [2, null, ""],
        [3, "a line must be a JSON object", '{"a":2'],
        [4, "a line must be a JSON object", "[1]"],
        [5, null, ""],
      ]);
  });

  test("refuses a file without an object, and a line above the limit", async () => {
    expect((await faultOf(() => lines("a,b\n1,2\n"))).message).toBe(
      "Cannot read log.ndjson: it must have a JSON object a line, got none",
    );
    expect((await faultOf(() => lines(`{"a":1}\n{"a":"${"x".repeat(100)}"}`, { maxRowBytes: 50 }))).message)
      .toBe(
        "Cannot read log.ndjson: a line must be 50 bytes or shorter, got a longer line 2; raise maxRowBytes (--max-row-bytes) if it is meant",
      );
  });
});

test("parseJsonText() takes what JSON.parse takes, and gives the same values", () => {
  const plain = (node: ReturnType<typeof parseJsonText>): unknown =>
    node.kind === "object"
      ? Object.fromEntries(node.members.map(([name, value]) => [name, plain(value)]))
      : node.kind === "array"
      ? node.items.map(plain)
      : node.kind === "string"
      ? node.text
      : JSON.parse(node.text);
  fc.assert(
    fc.property(fc.json({ maxDepth: 4 }), (text) => {
      if (text.includes("__proto__")) return;
      expect(plain(parseJsonText(text))).toEqual(JSON.parse(text));
    }),
    { numRuns: 500, seed: 4 },
  );
  const pieces = fc.constantFrom(
    "{",
    "}",
    "[",
    "]",
    '"a"',
    ":",
    ",",
    "1",
    "-",
    "0",
    ".5",
    "e1",
    "null",
    "tru",
    " ",
    "\n",
    '"\\u00e9"',
    '"',
  );
  fc.assert(
    fc.property(fc.array(pieces, { maxLength: 9 }), (parts) => {
      const text = parts.join("");
      let wanted: unknown, bad = false;
      try {
        wanted = JSON.parse(text);
      } catch {
        bad = true;
      }
      let got: unknown, refused = false;
      try {
        got = plain(parseJsonText(text));
      } catch (error) {
        refused = true;
        // The one thing that is refused here and not there.
        if (!bad) expect((error as Error).message).toBe("no two members of an object may share a name");
      }
      if (bad) expect(refused).toBe(true);
      else if (!refused) expect(got).toEqual(wanted);
    }),
    { numRuns: 5000, seed: 5 },
  );
});
