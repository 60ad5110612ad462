import type { RejectedRow } from "./report.ts";

/** Where in a file something was found. Lines and columns count from 1; a line is a physical line of the file. */
export interface Place {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  /** The sheet of a workbook, or null. */
  readonly sheet: string | null;
  /** The data row, counting from 1 after the heading row; 0 is the heading row. */
  readonly record: number;
}

export interface FileFaultOptions {
  readonly file: string;
  readonly line?: number;
  /** The heading of the column at fault. */
  readonly column?: string;
  /** The rows that were rejected, where there were too many of them. */
  readonly rejected?: readonly RejectedRow[];
}

/**
 * A log that cannot be used as a whole: it is unreadable, lacks something needed, or hardly a row of it is sound.
 * A command that meets one writes nothing and ends with status 1.
 */
export class FileFault extends Error {
  override readonly name = "FileFault";
  readonly status = 1;
  readonly file: string;
  readonly line: number | null;
  readonly column: string | null;
  readonly rejected: readonly RejectedRow[];

  constructor(message: string, options: FileFaultOptions) {
    super(message);
    this.file = options.file;
    this.line = options.line ?? null;
    this.column = options.column ?? null;
    this.rejected = options.rejected ?? [];
  }
}
