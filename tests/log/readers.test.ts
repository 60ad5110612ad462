import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { FileFault, FORMATS, READERS, readTable, type Table } from "../../lib/log/mod.ts";
import { readerOf } from "../../lib/log/readers.ts";
import { bytesOf, faultOf } from "./_helpers.ts";
import { fileNames, writers } from "./_formats.ts";

const HEADINGS = ["signal_id", "constructor", "note"];
const ROWS = [
  ["S1", "408 x 412", 'said "well", twice; =1+1'],
  ["S2", "", "Øster <mølle> & 'sø'"],
  ["S3", "-5", "007"],
];
/** GPX has latitude and longitude before everything else. */
const cellsOf = (table: Table, from: number): string[][] =>
  Array.from(
    { length: table.rowCount },
    (_, row) =>
      Array.from({ length: table.headings.length - from }, (_, column) => table.cell(row, column + from)),
  );

test("READERS has a reader for each format, each under its own name", () => {
  expect(READERS.map(({ name }) => name)).toEqual([...FORMATS]);
});

describe.each(READERS.map((reader) => [reader.name, reader] as const))(
  "the reader contract: %s",
  (name, reader) => {
    const write = writers[name], file = fileNames[name];
    const skip = name === "gpx" ? 2 : 0;

    test("read() gives headings and cells as they were written", async () => {
      const table = await reader.read(write(HEADINGS, ROWS), { file });
      expect(table.headings.slice(skip)).toEqual(HEADINGS);
      expect(table.rowCount).toBe(3);
      expect(cellsOf(table, skip)).toEqual(ROWS);
      expect([0, 1, 2].map((row) => [table.fault(row), table.width(row)])).toEqual(
        Array(3).fill([null, HEADINGS.length + skip]),
      );
      expect(table.cell(3, 0)).toBe("");
      expect(table.cell(0, 99)).toBe("");
    });

    test("place() counts records from 1, and lines rise down the file", async () => {
      const table = await reader.read(write(HEADINGS, ROWS), { file });
      const places = [0, 1, 2].map((row) => table.place(row, 0));
      expect(places.map(({ record }) => record)).toEqual([1, 2, 3]);
      for (const place of places) expect(place.file.startsWith(file)).toBe(true);
      expect(places[1]!.line).toBeGreaterThan(places[0]!.line);
      expect(places[2]!.line).toBe(places[1]!.line + 1);
      expect(table.place(0, 1).column).toBe(2);
    });

    test("read() leaves the bytes as they are, and gives the same table again", async () => {
      const bytes = write(HEADINGS, ROWS), copy = bytes.slice();
      const first = await reader.read(bytes, { file });
      expect(bytes).toEqual(copy);
      const second = await reader.read(bytes, { file });
      expect(cellsOf(second, 0)).toEqual(cellsOf(first, 0));
      expect(second.notes).toEqual(first.notes);
    });

    test("read() takes bytes that lie inside a larger buffer", async () => {
      const bytes = write(HEADINGS, ROWS);
      const larger = new Uint8Array(bytes.length + 20).fill(34);
      larger.set(bytes, 7);
      const table = await reader.read(larger.subarray(7, 7 + bytes.length), { file });
      expect(cellsOf(table, skip)).toEqual(ROWS);
    });

    test("fits() knows the format by its beginning, whatever the name, and by its name", () => {
      const head = write(HEADINGS, ROWS).subarray(0, 4096);
      expect(readerOf(file, head).name).toBe(name);
      if (name !== "csv") expect(readerOf("log.csv", head).name).toBe(name);
      expect(readerOf("export", head).name).toBe(name);
      expect(reader.fits(file, head)).toBeGreaterThan(0);
      expect(reader.fits(file, head)).toBeLessThanOrEqual(1);
    });

    test("read() refuses a file above maxFileBytes, an empty one, and two equal headings", async () => {
      const bytes = write(HEADINGS, ROWS);
      const large = await faultOf(() => reader.read(bytes, { file, maxFileBytes: bytes.length - 1 }));
      expect(large).toBeInstanceOf(FileFault);
      expect(large.message).toContain(
        `it must be ${
          bytes.length - 1
        } bytes or smaller, got ${bytes.length}; raise maxFileBytes (--max-file-bytes)`,
      );
      expect(await faultOf(() => reader.read(new Uint8Array(0), { file }))).toBeInstanceOf(FileFault);
      const twice = await faultOf(() => reader.read(write(["site", "Site"], [["a", "b"]]), { file }));
      expect(twice).toBeInstanceOf(FileFault);
      expect(twice.message).toContain('no two columns may share a heading, got "site" and "Site"');
    });

    test("read() gives a table or a FileFault for a file that was cut or has a byte changed", async () => {
      const whole = write(HEADINGS, ROWS);
      await fc.assert(
        fc.asyncProperty(
          fc.nat(whole.length - 1),
          fc.nat(255),
          fc.boolean(),
          async (at, byte, cut) => {
            const bytes = cut ? whole.slice(0, at) : whole.slice();
            if (!cut) bytes[at] = byte;
            try {
              const table = await reader.read(bytes, { file });
              expect(table.rowCount).toBeGreaterThanOrEqual(0);
            } catch (error) {
              expect(error).toBeInstanceOf(FileFault);
            }
          },
        ),
        { numRuns: 150, seed: 1 },
      );
    });

    test("read() gives back random cells", async () => {
      const text = fc.string({
        unit: fc.constantFrom("a", "é", "🙂", '"', ",", "'", "=", "1", "<", "&", ";", "]", "x y"),
        maxLength: 6,
      }).map((each) => each.trim());
      await fc.assert(
        fc.asyncProperty(fc.array(fc.tuple(text, text), { minLength: 1, maxLength: 5 }), async (pairs) => {
          const rows = pairs.map(([a, b], i) => [`S${i}`, a, b]);
          const table = await reader.read(write(HEADINGS, rows), { file });
          const full = table.headings.slice(skip);
          const filled = rows.map((row) => full.map((heading) => row[HEADINGS.indexOf(heading)]));
          expect(cellsOf(table, skip)).toEqual(filled);
        }),
        { numRuns: 60, seed: 2 },
      );
    });
  },
);

test.each(["csv", "json", "ndjson", "geojson", "gpx"] as const)(
  "readTable() reads %s in UTF-16, and says so",
  async (name) => {
    const text = `\ufeff${new TextDecoder().decode(writers[name](HEADINGS, ROWS))}`.replace(
      "UTF-8",
      "UTF-16",
    );
    const bytes = new Uint8Array(text.length * 2);
    for (let i = 0; i < text.length; i++) {
      bytes[2 * i] = text.charCodeAt(i) & 255;
      bytes[2 * i + 1] = text.charCodeAt(i) >> 8;
    }
    const table = await readTable({ name: "export", bytes });
    expect(cellsOf(table, name === "gpx" ? 2 : 0)).toEqual(ROWS);
    expect(table.notes?.[0]?.text).toBe("The text was read as UTF-16, as its byte order mark says");
  },
);

describe("readTable() chooses a reader", () => {
  test("by what --format says", async () => {
    const table = await readTable({ name: "x.csv", bytes: bytesOf('["a","b"]\n1,2\n') }, { format: "csv" });
    expect(table.rowCount).toBe(1);
    const fault = await faultOf(() =>
      readTable({ name: "x.csv", bytes: bytesOf("a\n1\n") }, { format: "gpx" })
    );
    expect(fault.message).toBe(
      "Cannot read x.csv: it must be well-formed XML, got text data outside of root node on line 3",
    );
    expect(
      (await faultOf(() => readTable({ name: "x", bytes: bytesOf("a") }, { format: "ods" as "csv" })))
        .message,
    )
      .toBe("Cannot read x: --format must be one of csv, xlsx, json, ndjson, geojson, gpx, zip, got ods");
  });

  test("and says what it is where it can read neither it nor its kin", async () => {
    const old = Uint8Array.of(0xd0, 0xcf, 0x11, 0xe0, 1, 2);
    expect((await faultOf(() => readTable({ name: "log.xls", bytes: old }))).message).toBe(
      "Cannot read log.xls: it must be a text file or an .xlsx workbook, got an old workbook; save it as .xlsx or CSV UTF-8",
    );
    expect((await faultOf(() => readTable({ name: "log.xlsx", bytes: old }))).message).toBe(
      "Cannot read log.xlsx: it must be an .xlsx workbook without a password, got one with a password or of an old kind",
    );
    expect(
      (await faultOf(() => readTable({ name: "log.kml", bytes: bytesOf('<?xml version="1.0"?><kml/>') })))
        .message,
    )
      .toBe("Cannot read log.kml: it must be GPX, got <kml> on line 1");
  });

  // How each begins: RFC 1952 (gzip), ISO 32000-1 section 7.5.2 (PDF), the WHATWG MIME Sniffing standard, section 7.1
  // (HTML), OpenDocument 1.3 part 2 section 3.3 (its mimetype comes first and is not packed); all from memory.
  test.each([
    [
      "log.csv.gz",
      Uint8Array.of(0x1f, 0x8b, 8, 0, 0, 0, 0, 0),
      "a packed file; unpack it, or pack it as .zip",
    ],
    ["log.csv", bytesOf("%PDF-1.7\n1 0 obj"), "a PDF; export the table itself"],
    [
      "log.xls",
      bytesOf("\n<!DOCTYPE html><table><tr><td>signal_id</td></tr></table>"),
      "a web page, which some programs call .xls; open it in a spreadsheet and save it as .xlsx or CSV UTF-8",
    ],
    [
      "log.ods",
      bytesOf(`PK\u0003\u0004${"\0".repeat(26)}mimetypeapplication/vnd.oasis.opendocument.spreadsheet`),
      "an OpenDocument file; save it as .xlsx or CSV UTF-8",
    ],
  ])("refuses %s by its kind", async (name, bytes, got) => {
    const fault = await faultOf(() => readTable({ name, bytes }));
    expect(fault).toBeInstanceOf(FileFault);
    expect(fault.message).toBe(
      `Cannot read ${name}: it must be CSV, XLSX, JSON, NDJSON, GeoJSON, GPX or a zip of these, got ${got}`,
    );
  });
});
