import type { Place } from "./file_fault.ts";

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
}

/** What a reader may be told. */
export interface ReadOptions {
  /** The file's name, for messages and places. */
  readonly file: string;
  /** The longest row allowed, in bytes. Default 1 MiB. */
  readonly maxRowBytes?: number;
  /** The largest file allowed, in bytes. Default 512 MiB. */
  readonly maxFileBytes?: number;
}

/** Turns the bytes of one file format into a table. `fits` tells how sure it is that it can, from 0 to 1. */
export interface Reader {
  readonly name: string;
  fits(fileName: string, head: Uint8Array): number;
  read(bytes: Uint8Array, options: ReadOptions): Table;
}

/** A heading as fields are named: lower case, underscores for spaces and hyphens. */
export const asFieldName = (heading: string): string => heading.trim().toLowerCase().replace(/[\s-]+/g, "_");
