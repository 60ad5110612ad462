import { strToU8, unzipSync, zipSync } from "fflate";
import { describe, expect, test } from "vitest";
import { expandLogFile, FileFault, loadDigLog, readTable, type Table } from "../../lib/log/mod.ts";
import { readXlsx } from "../../lib/log/read_xlsx.ts";
import { faultOf, oneMachine } from "./_helpers.ts";
import { workbook } from "./_formats.ts";
import { SEASON_HEADINGS, SEASON_NOTES, SEASON_ROWS } from "./_season_workbook.ts";

const fixture = (name: string): Uint8Array =>
  Deno.readFileSync(new URL(`./fixtures/${name}.xlsx`, import.meta.url));
const read = (bytes: Uint8Array, options = {}): Promise<Table> =>
  readXlsx(bytes, { file: "log.xlsx", ...options });
const message = async (bytes: Uint8Array, options = {}): Promise<string> => {
  const fault = await faultOf(() => read(bytes, options));
  expect(fault).toBeInstanceOf(FileFault);
  return fault.message;
};

test("readXlsx() reads a workbook by LibreOffice: numbers, dates, formulas, errors, merged cells, wide rows", async () => {
  const table = await read(fixture("season"));
  expect(table.headings).toEqual(SEASON_HEADINGS);
  const rows = Array.from({ length: table.rowCount }, (_, row) => [
    table.place(row, 0).line,
    Array.from({ length: table.width(row) }, (_, column) => table.cell(row, column)),
    table.fault(row),
  ]);
  expect(rows).toEqual(SEASON_ROWS);
  expect(table.notes?.map(({ text, count, first }) => [text, count, first.line, first.value])).toEqual(
    SEASON_NOTES,
  );
  expect(table.place(2, 3)).toEqual({ file: "log.xlsx", line: 4, column: 4, sheet: "Signals", record: 3 });
});

describe("readXlsx() refuses", () => {
  test("merged headings, by LibreOffice", async () => {
    expect(await message(fixture("merged_headings"))).toBe(
      'Cannot read log.xlsx: each heading must stand in a cell of its own, got the merged cells A1:B1 on sheet "Signals"; split them and give each column its heading',
    );
  });

  test("several sheets without a name, by LibreOffice; with a name it reads that one", async () => {
    expect(await message(fixture("two_sheets"))).toBe(
      'Cannot read log.xlsx: a workbook with several filled sheets needs the name of one, got "Signals", "Finds"; give --sheet NAME',
    );
    expect((await read(fixture("two_sheets"), { sheet: "finds" })).headings).toEqual(["hole_id", "metal"]);
    expect(await message(fixture("two_sheets"), { sheet: "Sites" })).toBe(
      'Cannot read log.xlsx: the sheet must be one of its own, "Signals", "Finds", "Empty", got "Sites"',
    );
  });

  test("empty sheets, archives that are no workbooks, and broken XML", async () => {
    expect(await message(workbook([{ name: "A", rows: [] }]))).toBe(
      "Cannot read log.xlsx: it must have a heading row, got empty sheets only",
    );
    expect(await message(zipSync({ "a.xml": strToU8("<a/>") }))).toBe(
      "Cannot read log.xlsx: it must be an .xlsx workbook, got an archive without one",
    );
    const broken = workbook([{ name: "A", rows: [["a"]] }], { "xl/styles.xml": "<styleSheet>" });
    expect(await message(broken)).toMatch(
      /the XML of a workbook must be well-formed, got .* in xl\/styles\.xml$/,
    );
  });

  test("a document type anywhere in its XML", async () => {
    const bomb = '<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]><x>&b;</x>';
    for (const path of ["xl/sharedStrings.xml", "xl/worksheets/sheet1.xml", "xl/workbook.xml"]) {
      expect(await message(workbook([{ name: "A", rows: [["a"]] }], { [path]: bomb }))).toBe(
        `Cannot read log.xlsx: the XML of a workbook must not declare a document type or entities, got a DOCTYPE in ${path}`,
      );
    }
  });

  test("a cell far out, by a limit that an option raises", async () => {
    const far = workbook([{
      name: "A",
      rows: [["a", "b"], ['<c r="XFD1048576" t="inlineStr"><is><t>x</t></is></c>']],
    }]);
    expect(await message(far)).toBe(
      "Cannot read log.xlsx: a sheet must have 20000000 cells or fewer, empty ones within counted, got 1048576 rows of 16384; raise maxCells (--max-cells) if it is meant",
    );
    const near = workbook([{ name: "A", rows: [["a", "b"], ["1", "2"], ["3", "4"]] }]);
    expect(await message(near, { maxCells: 5 })).toContain("a sheet must have 5 cells or fewer");
    expect((await read(near, { maxCells: 6 })).rowCount).toBe(2);
  });

  test("what unpacks to too much, by a limit that an option raises", async () => {
    const large = workbook([{ name: "A", rows: [["a"], ["x".repeat(100_000)]] }]);
    expect(large.length).toBeLessThan(10_000);
    expect(await message(large, { maxUnpackedBytes: 50_000 })).toBe(
      "Cannot read log.xlsx: it must unpack to 50000 bytes or fewer, got more; raise maxUnpackedBytes (--max-unpacked-bytes) if it is meant",
    );
    expect((await read(large, { maxUnpackedBytes: 200_000 })).cell(0, 0).length).toBe(100_000);
  });
});

describe("readXlsx() reads", () => {
  test("a formula without a stored result as a faulty row", async () => {
    const table = await read(
      workbook([{ name: "A", rows: [["a", "b"], ['<c r="A2"><f>1+1</f></c>', "x"], ["1", "y"]] }]),
    );
    expect([table.fault(0), table.fault(1)]).toEqual([
      "a formula must have its result stored: open the workbook in a spreadsheet and save it again",
      null,
    ]);
    expect(table.cell(0, 0)).toBe("?");
  });

  test("hidden rows as the others, and says so", async () => {
    const bytes = workbook([{ name: "A", rows: [["a"], ["1"]] }]);
    const files = unzipSync(bytes);
    const path = "xl/worksheets/sheet1.xml";
    const text = new TextDecoder().decode(files[path]).replace('<row r="2">', '<row r="2" hidden="1">');
    const table = await read(zipSync({ ...files, [path]: strToU8(text) }));
    expect([table.cell(0, 0), table.notes?.map(({ text }) => text)]).toEqual([
      "1",
      ["A hidden row or column was read as the others are"],
    ]);
  });

  test("headings below empty rows", async () => {
    const table = await read(workbook([{ name: "A", rows: [[], ["", ""], ["a", "b"], ["1", "2"]] }]));
    expect([table.headings, table.place(-1, 0).line, table.place(0, 0).line, table.cell(0, 1)]).toEqual([
      ["a", "b"],
      3,
      4,
      "2",
    ]);
  });
});

describe("a workbook with the tables of a log", () => {
  const sheets = [
    {
      name: "Signals",
      rows: [["signal_id", "outing_id", "readings_right", "readings_left"], ["S1", "O1", "300", "310"]],
    },
    { name: "Outings", rows: [["outing_id", "site"], ["O1", "Hay wharf"]] },
    { name: "Finds", rows: [["hole_id", "metal"], ["S1", "ferrous"]] },
  ];

  test("is each of its sheets, and a dig log by itself", async () => {
    const file = { name: "log.xlsx", bytes: workbook(sheets) };
    expect((await expandLogFile(file)).map(({ name, sheet, role }) => [name, sheet, role])).toEqual([
      ["log.xlsx/Signals", "Signals", "signals"],
      ["log.xlsx/Outings", "Outings", "outings"],
      ["log.xlsx/Finds", "Finds", "finds"],
    ]);
    const { season } = await loadDigLog(file, oneMachine);
    expect(season.signals.map(({ site, outcome }) => [site, outcome.class])).toEqual([[
      "Hay wharf",
      "ferrous",
    ]]);
  });

  test("is asked for a sheet where one is named otherwise", async () => {
    const bytes = workbook([...sheets, { name: "Jottings", rows: [["x"]] }]);
    expect((await expandLogFile({ name: "log.xlsx", bytes })).length).toBe(1);
    const fault = await faultOf(() => readTable({ name: "log.xlsx", bytes }));
    expect(fault.message).toContain('got "Signals", "Outings", "Finds", "Jottings"; give --sheet NAME');
  });
});
