import fc from "fast-check";
import Papa from "papaparse";
import { describe, expect, test } from "vitest";
import { readCsv } from "../../lib/log/read_csv.ts";
import { csvText, FileFault, restoreCell } from "../../lib/log/mod.ts";
import { bytesOf, faultOf } from "./_helpers.ts";

const read = (text: string | Uint8Array, options = {}) =>
  readCsv(typeof text === "string" ? bytesOf(text) : text, { file: "log.csv", ...options });
const cells = (text: string): string[][] => {
  const table = read(text);
  return Array.from(
    { length: table.rowCount },
    (_, row) => Array.from({ length: table.width(row) }, (_, column) => table.cell(row, column)),
  );
};

describe("readCsv() follows RFC 4180, section 2", () => {
  // The examples of https://www.rfc-editor.org/rfc/rfc4180 section 2, rules 1, 2, 5, 6 and 7, under a heading row.
  test.each([
    ["aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]],
    ["aaa,bbb,ccc\r\nzzz,yyy,xxx", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]],
    ['"aaa","bbb","ccc"\r\nzzz,yyy,xxx', [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]],
    ['"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx', [["aaa", "b\r\nbb", "ccc"], ["zzz", "yyy", "xxx"]]],
    ['"aaa","b""bb","ccc"', [["aaa", 'b"bb', "ccc"]]],
  ])("%j", (text, rows) => {
    expect(cells(`field_name1,field_name2,field_name3\r\n${text}`)).toEqual(rows);
  });

  test("keeps spaces, reads empty cells, any line end and a byte order mark", () => {
    expect(cells('a,b\n x ,\r,y\r\n"",z')).toEqual([[" x ", ""], ["", "y"], ["", "z"]]);
    expect(read("\ufeffa,b\n1,2\n").headings).toEqual(["a", "b"]);
  });

  test("keeps ragged and blank rows as they are", () => {
    expect(cells("a,b\n1\n\n1,2,3\n")).toEqual([["1"], [""], ["1", "2", "3"]]);
    expect(read("a,b\n1\n").cell(0, 1)).toBe("");
  });
});

describe("readCsv() knows where a cell is", () => {
  test("counts physical lines through quoted fields, blank lines and all line ends", () => {
    const table = read('\n\na,b\r\n"1\r\n2",3\r\n\r\n4,"5\n5\n5"\r6,7');
    expect([0, 1, 2, 3].map((row) => [table.place(row, 0).line, table.place(row, 1).line])).toEqual([
      [4, 5],
      [6, 6],
      [7, 7],
      [10, 10],
    ]);
    expect(table.place(2, 1)).toEqual({ file: "log.csv", line: 7, column: 2, sheet: null, record: 3 });
    expect(table.place(-1, 1)).toEqual({ file: "log.csv", line: 3, column: 2, sheet: null, record: 0 });
  });
});

describe("readCsv() refuses what it cannot read", () => {
  test.each([
    ["an empty file", "", "Cannot read log.csv: it must have a heading row, got an empty file"],
    ["blank lines", "\n,,\n\n", "Cannot read log.csv: it must have a heading row, got blank lines only"],
    [
      "an open quote",
      'a,b\n1,2\n3,"4\n5,6\n',
      "Cannot read log.csv: each quote must be closed, got one opened on line 3 that never is",
    ],
    [
      "an open quote closed by a later one",
      'a,b\n1,"2\n3,"4"\n5,6\n',
      "Cannot read log.csv: text must not follow a closing quote, got such a row from line 2 to 3: is a quote left open?",
    ],
    [
      "two equal headings",
      "Site,site\n1,2\n",
      'Cannot read log.csv: no two columns may share a heading, got "Site" and "site"',
    ],
    [
      "a NUL byte",
      "a,b\n1,\u00002\n",
      "Cannot read log.csv: it must be text, got a NUL byte at byte 6, line 2",
    ],
  ])("%s", async (_, text, message) => {
    const fault = await faultOf(() => read(text));
    expect(fault).toBeInstanceOf(FileFault);
    expect(fault.message).toBe(message);
  });

  test("bytes that are not UTF-8, with offset and line", async () => {
    const latin = Uint8Array.from([...bytesOf("a,b\n1,caf"), 0xe9, ...bytesOf("\n")]);
    expect((await faultOf(() => read(latin))).message).toBe(
      "Cannot read log.csv: it must be UTF-8 (save it as CSV UTF-8, or say what it is: --encoding windows-1252 for most older spreadsheets), got byte 0xE9 at byte 9, line 2",
    );
    const cut = Uint8Array.from([...bytesOf("\ufeffa\n"), 0xe2, 0x82]);
    expect((await faultOf(() => read(cut))).message).toContain("got byte 0xE2 at byte 5, line 2");
    const surrogate = Uint8Array.from([...bytesOf("a\n"), 0xed, 0xa0, 0x80]);
    expect((await faultOf(() => read(surrogate))).message).toContain("got byte 0xED at byte 2, line 2");
  });

  test("workbooks by their first bytes", async () => {
    expect((await faultOf(() => read(Uint8Array.of(0x50, 0x4b, 3, 4, 0)))).message).toContain(
      "got a workbook or archive",
    );
  });

  test("a line of 50 MB, whatever is in it, quickly and with the limit named", async () => {
    for (const byte of [0x61, 0x2c, 0x22]) {
      const fault = await faultOf(() => read(new Uint8Array(50_000_000).fill(byte)));
      expect(fault.message).toBe(
        "Cannot read log.csv: a line must be 1048576 bytes or shorter, got a longer line 1; raise maxRowBytes (--max-row-bytes) if it is meant",
      );
    }
    const fault = await faultOf(() => read(`a,b\n1,"${"x\n".repeat(1_000_000)}`));
    expect(fault.message).toContain(
      "a row must be 1048576 bytes or shorter, got a longer one from line 2 on",
    );
    expect(read(`a\n${"x".repeat(2000)}\n`, { maxRowBytes: 2000 }).cell(0, 0).length).toBe(2000);
    expect((await faultOf(() => read(`a\n${"x".repeat(2001)}\n`, { maxRowBytes: 2000 }))).message).toContain(
      "got a longer line 2",
    );
    expect((await faultOf(() => read("a\n1\n", { maxFileBytes: 3 }))).message).toContain(
      "must be 3 bytes or smaller, got 4",
    );
  }, 20_000);
});

describe("readCsv() takes strange text as text", () => {
  test("a stray quote makes its own row faulty only", () => {
    const table = read('a,b\n1,5" deep\n2,"x"y\n3,"fine ""so"""\n');
    expect([0, 1, 2].map((row) => table.fault(row) === null)).toEqual([false, false, true]);
    expect(table.fault(0)).toBe(
      "a quote stands inside a field: put the whole field in quotes and write each quote in it twice",
    );
    expect(table.cell(2, 1)).toBe('fine "so"');
  });

  test("headings like __proto__ and constructor are only headings", () => {
    const table = read("__proto__,constructor,toString\n1,2,3\n");
    expect(table.headings).toEqual(["__proto__", "constructor", "toString"]);
    expect(table.cell(0, 0)).toBe("1");
    expect(({} as Record<string, unknown>)["1"]).toBeUndefined();
  });
});

const anyText = fc.string({
  unit: fc.constantFrom("a", "é", "🙂", '"', ",", "\n", "\r\n", " ", "'", "=", "-", "1"),
  maxLength: 8,
});
const anyRows = fc.integer({ min: 2, max: 5 }).chain((width) =>
  fc.array(fc.array(anyText, { minLength: width, maxLength: width }), { minLength: 1, maxLength: 8 })
);

test("readCsv() reads random tables as papaparse does", () => {
  fc.assert(
    fc.property(anyRows, fc.constantFrom("\n", "\r\n"), (rows, end) => {
      const heading = rows[0]!.map((_, i) => `h${i}`);
      const text = [heading, ...rows].map((row) =>
        row.map((cell) => `"${cell.replaceAll('"', '""')}"`).join(",")
      ).join(end);
      expect(cells(text)).toEqual((Papa.parse(text, { newline: end }).data as string[][]).slice(1));
    }),
    { numRuns: 500 },
  );
});

test("readCsv() gives back what csvText() wrote, guarded cells restored", () => {
  fc.assert(
    fc.property(anyRows, (rows) => {
      const heading = rows[0]!.map((_, i) => `h${i}`);
      const read = cells(csvText([heading, ...rows])).map((row) => row.map(restoreCell));
      expect(read).toEqual(rows);
    }),
    { numRuns: 500 },
  );
});

test("readCsv() reads or refuses any bytes, and every row has its place", () => {
  fc.assert(
    fc.property(
      fc.string({ unit: fc.constantFrom('"', ",", "\n", "\r", "a", ";", "\t"), maxLength: 40 }),
      (text) => {
        let table;
        try {
          table = read(text);
        } catch (error) {
          expect(error).toBeInstanceOf(FileFault);
          return;
        }
        const lines = text.split(/\r\n|\n|\r/).length;
        let last = table.place(-1, 0).line;
        for (let row = 0; row < table.rowCount; row++) {
          const { line } = table.place(row, 0);
          expect(line).toBeGreaterThan(last);
          expect(line).toBeLessThanOrEqual(lines);
          last = line;
        }
      },
    ),
    { numRuns: 3000 },
  );
});
