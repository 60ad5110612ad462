import type { ReadOptions, Table } from "./table.ts";

/** A file of a log, in memory. Only its bytes are read, never written to. */
export interface LogFile {
  readonly name: string;
  readonly bytes: Uint8Array;
  /** Which table it is, where its name and headings do not tell. */
  readonly role?: "signals" | "outings" | "finds" | "trials";
}

export type ReadTableOptions = Omit<ReadOptions, "file">;

/**
 * Reads a file into a table with the reader that fits it best. Readers are loaded when they are needed.
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
  const { csvReader } = await import("./read_csv.ts");
  const head = file.bytes.subarray(0, 4096);
  const [reader] = [csvReader].sort((a, b) => b.fits(file.name, head) - a.fits(file.name, head));
  return reader!.read(file.bytes, { ...options, file: file.name });
}
