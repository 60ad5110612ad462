import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { FileFault } from "../../lib/log/mod.ts";
import { findDialect } from "../../lib/log/find_dialect.ts";
import { readCsv } from "../../lib/log/read_csv.ts";
import { bytesOf, faultOf } from "./_helpers.ts";

const dialect = (text: string, options = {}) => findDialect(bytesOf(text), { file: "log.txt", ...options });
const cells = (text: string, options = {}): string[][] => {
  const table = readCsv(bytesOf(text), { file: "log.txt", ...options });
  return Array.from(
    { length: table.rowCount },
    (_, row) => Array.from({ length: table.width(row) }, (_, column) => table.cell(row, column)),
  );
};

describe("findDialect() finds the delimiter", () => {
  test.each([
    [",", "a,b,c\n1,2,3\n", []],
    [";", "a;b;c\n1,5;2;3\n", ["The fields were split by semicolons, as the heading row shows"]],
    ["\t", "a\tb\n1,5\t2;3\n", ["The fields were split by tabs, as the heading row shows"]],
    ["|", "a|b\n1,5|2;3\n", ["The fields were split by bars, as the heading row shows"]],
    [",", "a\n1\n", []],
    [",", 'a,"b;c;d"\n1,2\n', []],
    [";", '"depth, cm";site\n"1,5";x\n"2";y\n', [
      "The fields were split by semicolons, as the heading row shows",
    ]],
    [",", "id,site,note; where\n1,x,\n2,y,a; b\n3,z,w\n", []],
  ])("%j: %j", (delimiter, text, notes) => {
    expect(dialect(text)).toEqual({ delimiter, quote: '"', notes });
  });

  test("asks where two do as well", async () => {
    const fault = await faultOf(() => dialect("a,b;c\n1,2;3\n4,5;6\n"));
    expect(fault).toBeInstanceOf(FileFault);
    expect(fault.message).toBe(
      "Cannot read log.txt: it must be clear what splits the fields, got a heading row and rows that commas and semicolons split as well as each other; give --delimiter comma or --delimiter semicolon",
    );
    expect(dialect("a,b;c\n1,2;3\n", { delimiter: ";" }).delimiter).toBe(";");
  });

  test("and refuses one that was said but splits nothing", async () => {
    expect((await faultOf(() => dialect("a;b\n1;2\n", { delimiter: "," }))).message).toBe(
      "Cannot read log.txt: fields must be split by commas, as --delimiter says, got semicolons in the heading row",
    );
  });
});

describe("findDialect() finds the quotes", () => {
  test("single ones round headings", () => {
    expect(dialect("'a','b'\n'x, y','it''s'\n").quote).toBe("'");
    expect(cells("'a','b'\n'x, y','it''s'\n")).toEqual([["x, y", "it's"]]);
  });

  test("leaves apostrophes alone", () => {
    expect(cells("a,b\n'tis,o'clock\n'x','y'\n")).toEqual([["'tis", "o'clock"], ["'x'", "'y'"]]);
  });

  test("asks where both kinds stand round headings", async () => {
    expect((await faultOf(() => dialect("'a',\"b\"\n1,2\n"))).message).toBe(
      "Cannot read log.txt: fields must be quoted one way, got headings in double and in single quotes; say which are quotes with --quote double or --quote single",
    );
    expect(cells("'a',\"b\"\n1,2\n", { quote: '"' })).toEqual([["1", "2"]]);
  });

  test("takes none where that is said", () => {
    expect(cells('a,b\n5" deep,"x\n', { quote: "none" })).toEqual([['5" deep', '"x']]);
  });
});

test("readCsv() takes a first line such as sep=; at its word, and keeps the lines' numbers", () => {
  const table = readCsv(bytesOf("sep=;\r\na,b;c\r\n1,2;3\r\n"), { file: "log.csv" });
  expect([table.headings, table.cell(0, 0), table.place(0, 0).line]).toEqual([["a,b", "c"], "1,2", 3]);
  expect(table.notes?.map(({ text }) => text)).toEqual([
    "The fields were split by the mark that the first line names",
  ]);
  expect(readCsv(bytesOf("sep=;\na,b;c\n1,2;3\n"), { file: "log.csv", delimiter: "," }).headings).toEqual([
    "a",
    "b;c",
  ]);
});

test("readCsv() tells of mixed line ends, once, with the line", () => {
  const notes = readCsv(bytesOf("a,b\n1,2\r\n3,4\n5,6\r7,8"), { file: "log.csv" }).notes;
  expect(notes).toEqual([{
    text: "The lines end in more than one way: each of them was taken as the end of a line",
    count: 1,
    first: { line: 2, value: "" },
  }]);
  expect(readCsv(bytesOf("a,b\r\n1,2\r\n"), { file: "log.csv" }).notes).toEqual([]);
});

test("readCsv() reads what was written in any dialect", () => {
  const cell = fc.string({
    unit: fc.constantFrom("a", '"', "'", ",", ";", "\t", "|", "\n", " ", "1"),
    maxLength: 6,
  });
  fc.assert(
    fc.property(
      fc.array(fc.tuple(cell, cell, cell), { minLength: 1, maxLength: 6 }),
      fc.constantFrom(",", ";", "\t", "|"),
      fc.constantFrom('"', "'"),
      (rows, delimiter, quote) => {
        const written = [["one", "two", "three"], ...rows].map((row) =>
          row.map((each) => quote + each.replaceAll(quote, quote + quote) + quote).join(delimiter)
        ).join("\n");
        expect(cells(written)).toEqual(rows);
      },
    ),
    { numRuns: 300, seed: 3 },
  );
});
