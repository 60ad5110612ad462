import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { ByteTable } from "../../lib/log/fast_table.ts";
import { readCsv, readCsvStrictly } from "../../lib/log/read_csv.ts";
import type { Table } from "../../lib/log/table.ts";

/** All that a table says, or the fault thrown. */
function told(read: () => Table): unknown {
  try {
    const table = read();
    const rows = [];
    for (let row = 0; row < table.rowCount; row++) {
      const width = table.width(row);
      const columns = Array.from({ length: width + 1 }, (_, column) => column);
      rows.push({
        fault: table.fault(row),
        width,
        cells: columns.map((column) => table.cell(row, column)),
        places: columns.map((column) => table.place(row, column)),
      });
    }
    return { headings: table.headings, notes: table.notes, top: table.place(-1, 1), rows };
  } catch (error) {
    return [(error as Error).constructor.name, (error as Error).message];
  }
}

const bit = fc.constantFrom(
  "a",
  "b c",
  " ",
  "12",
  "é",
  "\u00a0",
  "\ufeff",
  "😀",
  '"',
  '""',
  '"x"',
  '"x,y"',
  '"x\ny"',
  '"x\r\ny"',
  '"x""y"',
  "'",
  ",",
  ",",
  ",",
  ";",
  "\n",
  "\n",
  "\r\n",
  "\r",
  "\0",
);
const text = fc.array(bit, { maxLength: 40 }).map((bits) => bits.join(""));
const headed = fc.tuple(
  fc.constantFrom("", "\n", " \r\n", "\ufeff"),
  fc.constantFrom("a,b\n", "a,b,c\r\n", 'a;"b"\n'),
  text,
)
  .map((parts) => parts.join(""));

describe("readCsv() from bytes", () => {
  test("says what the strict parser says, of any text", () => {
    fc.assert(
      fc.property(fc.oneof(text, headed), fc.constantFrom(undefined, 12), (written, maxRowBytes) => {
        const bytes = new TextEncoder().encode(written);
        const options = { file: "log.csv", ...(maxRowBytes === undefined ? {} : { maxRowBytes }) };
        expect(told(() => readCsv(bytes, options))).toEqual(told(() => readCsvStrictly(bytes, options)));
      }),
      { numRuns: 3000, seed: 7 },
    );
  });

  test("keeps bytes where it can, hands over where it cannot", () => {
    const bytes = (written: string) => new TextEncoder().encode(written);
    expect(readCsv(bytes('a,b\n1,"x\ny"\n2,x"y\n'), { file: "log.csv" })).toBeInstanceOf(ByteTable);
    expect(() => readCsv(bytes('a,b\n1,"x\n'), { file: "log.csv" })).toThrow("each quote must be closed");
    expect(readCsv(bytes('a,b\n1,"x"y\n'), { file: "log.csv" })).not.toBeInstanceOf(ByteTable);
  });
});
