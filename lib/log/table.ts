import { FileFault, type Place } from "./file_fault.ts";

/** Something that a reader took for granted about a file, said without any value of it. */
export interface TableNote {
  readonly text: string;
  readonly count: number;
  /** Where it was met first, and what stood there. */
  readonly first: { readonly line: number; readonly value: string };
}

/** A table as it was written: text cells under headings. Readers make it; `applySchema` gives it meaning. */
export interface Table {
  readonly file: string;
  /** As written, without space at the ends. Some may be empty; no two others are equal. */
  readonly headings: readonly string[];
  readonly rowCount: number;
  /** The text of a cell as written, "" where a short row has none. Rows and columns count from 0. */
  cell(row: number, column: number): string;
  /** How many cells the row was written with. */
  width(row: number): number;
  /** Why the row's own writing is broken (a stray quote), or null. */
  fault(row: number): string | null;
  /** Where a cell lies in the file. Row -1 is the heading row. */
  place(row: number, column: number): Place;
  /** What the reader took for granted. Absent means nothing. */
  readonly notes?: readonly TableNote[];
  /** Why one cell could not be put into the kit's form, or null. Only in tables made from another. */
  cellFault?(row: number, column: number): string | null;
  /** The table that this one was made from. Absent means that it is as it was written. */
  readonly source?: TableSource;
}

/** What a table made from another tells of the one that was written. */
export interface TableSource {
  readonly table: Table;
  /** What was written for a cell; where several columns made it, theirs in order. */
  written(row: number, column: number): string;
  /** Which column of the source a column comes from; -1 for none. */
  columnOf(column: number): number;
}

/** How a text file may be encoded, by the names of the WHATWG encoding standard. */
export const ENCODINGS = [
  "utf-8",
  "utf-16le",
  "utf-16be",
  "windows-1252",
  "windows-1250",
  "windows-1251",
  "windows-1253",
  "windows-1254",
  "windows-1257",
  "iso-8859-2",
  "iso-8859-15",
  "macintosh",
] as const;
export type Encoding = (typeof ENCODINGS)[number];

/** The formats that a log may come in. */
export const FORMATS = ["csv", "xlsx", "json", "ndjson", "geojson", "gpx", "zip"] as const;
export type Format = (typeof FORMATS)[number];

/** What a reader may be told. Without it, it finds out, or says which of these options to give. */
export interface ReadOptions {
  /** The file's name, for messages and places. */
  readonly file: string;
  /** The longest row allowed, in bytes. Default 1 MiB. */
  readonly maxRowBytes?: number;
  /** The largest file allowed, in bytes. Default 512 MiB. */
  readonly maxFileBytes?: number;
  /** The most that an archive or a workbook may unpack to, in bytes. Default 512 MiB. */
  readonly maxUnpackedBytes?: number;
  /** The most cells that a workbook or a JSON file may have, empty ones within its rows counted. Default 20 million. */
  readonly maxCells?: number;
  /** The most files that an archive or a workbook may hold. Default 1000. */
  readonly maxArchiveFiles?: number;
  /** How deep the values of JSON, or the elements of GPX, may lie in one another. Default 50, of GPX 100. */
  readonly maxDepth?: number;
  /** The encoding of a text file. Default: its byte order mark, else UTF-8. */
  readonly encoding?: Encoding;
  /** What splits the fields of a text file. Default: found out from its heading row. */
  readonly delimiter?: "," | ";" | "\t" | "|";
  /** What fields are quoted with. Default: found out from its heading row. */
  readonly quote?: '"' | "'" | "none";
  /** The mark before the decimals of numbers. Default: found out from the columns that hold numbers. */
  readonly decimal?: "point" | "comma";
  /** The sheet of a workbook. Default: its only sheet with anything on it. */
  readonly sheet?: string;
}

/** Turns the bytes of one file format into a table. `fits` tells how sure it is that it can, from 0 to 1. */
export interface Reader {
  readonly name: Format;
  fits(fileName: string, head: Uint8Array): number;
  read(bytes: Uint8Array, options: ReadOptions): Promise<Table>;
}

/** A heading as fields are named: lower case, underscores for spaces and hyphens. */
export const asFieldName = (heading: string): string => heading.trim().toLowerCase().replace(/[\s-]+/g, "_");

/** Throws FileFault where two headings are the same field name. */
export function refuseEqualHeadings(headings: readonly string[], file: string, line: number): void {
  const seen = new Map<string, string>();
  for (const heading of headings) {
    const name = asFieldName(heading);
    if (name !== "" && seen.has(name)) {
      throw new FileFault(
        `Cannot read ${file}: no two columns may share a heading, got ${JSON.stringify(seen.get(name))} and ${
          JSON.stringify(heading)
        }`,
        { file, line, column: heading },
      );
    }
    seen.set(name, heading);
  }
}

/** Throws FileFault where a file is larger than its limit. */
export function refuseLargeFile(byteCount: number, file: string, maxFileBytes: number): void {
  if (byteCount <= maxFileBytes) return;
  throw new FileFault(
    `Cannot read ${file}: it must be ${maxFileBytes} bytes or smaller, got ${byteCount}; raise maxFileBytes (--max-file-bytes) if it is meant`,
    { file },
  );
}

/** One row of a table held in memory. */
export interface WrittenRow {
  readonly cells: readonly string[];
  /** The physical line on which it begins. */
  readonly line: number;
  readonly fault?: string | null;
  /** How many cells it was written with. Default: as many as there are headings. */
  readonly width?: number;
}

/** Makes a table of rows that are held in memory. A missing cell at a row's end is an empty cell. */
export function tableOfRows(
  file: string,
  headings: readonly string[],
  rows: readonly WrittenRow[],
  options: {
    readonly headingLine?: number;
    readonly sheet?: string | null;
    readonly notes?: readonly TableNote[];
  } = {},
): Table {
  const { headingLine = 1, sheet = null, notes = [] } = options;
  return {
    file,
    headings,
    rowCount: rows.length,
    cell: (row, column) => rows[row]?.cells[column] ?? "",
    width: (row) => rows[row]?.width ?? headings.length,
    fault: (row) => rows[row]?.fault ?? null,
    place: (row, column) => ({
      file,
      line: row < 0 ? headingLine : rows[row]?.line ?? headingLine,
      column: column + 1,
      sheet,
      record: row + 1,
    }),
    notes,
  };
}

/** Counts what a reader takes for granted, one note a sentence. */
export class TableNotes {
  readonly #all = new Map<string, { text: string; count: number; first: { line: number; value: string } }>();

  add(text: string, line: number, value: string): void {
    const known = this.#all.get(text);
    if (known !== undefined) known.count++;
    else this.#all.set(text, { text, count: 1, first: { line, value } });
  }

  list(): readonly TableNote[] {
    return [...this.#all.values()];
  }
}
