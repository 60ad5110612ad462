import { readerOf } from "./readers.ts";
import type { Format, Reader, ReadOptions, Table } from "./table.ts";

/** A file of a log, in memory. Only its bytes are read, never written to. */
export interface LogFile {
  readonly name: string;
  readonly bytes: Uint8Array;
  /** Which table it is, where its name and headings do not tell. */
  readonly role?: "signals" | "outings" | "finds" | "trials";
  /** Which sheet of the workbook it is, where it has several. */
  readonly sheet?: string;
}

export interface ReadTableOptions extends Omit<ReadOptions, "file"> {
  /** The format of the file. Default: found out from how it begins and from its name. */
  readonly format?: Format;
}

const HEAD_BYTES = 4096;

/** The reader that fits a file best. */
export const fittingReader = (file: LogFile, options: ReadTableOptions = {}): Reader =>
  readerOf(file.name, file.bytes.subarray(0, HEAD_BYTES), options.format);

/**
 * Reads a file into a table with the reader that fits it best: CSV and its kin, XLSX, JSON, NDJSON, GeoJSON, GPX, or a
 * zip archive that holds one of these. Readers are loaded when they are needed.
 *
 * Throws FileFault as the reader does.
 *
 * @example
 * ```ts
 * import { readTable } from "overiron";
 * const table = await readTable({ name: "log.csv", bytes: new TextEncoder().encode("a,b\n1,2\n") });
 * if (table.cell(0, 1) !== "2") throw new Error("wrong");
 * ```
 */
export async function readTable(file: LogFile, options: ReadTableOptions = {}): Promise<Table> {
  const reader = fittingReader(file, options);
  const { format: _, ...rest } = options;
  return await reader.read(file.bytes, {
    ...rest,
    ...(file.sheet === undefined ? {} : { sheet: file.sheet }),
    file: file.name,
  });
}
