import { sourceLines } from "./_source_lines.ts";

/** An error of a cell as the notebook keeps it. */
export interface CellError {
  readonly name: string;
  readonly message: string;
  readonly traceback: readonly string[];
  /** Line of the cell, from 1; null where it cannot be told. */
  readonly line: number | null;
}

// The kernel puts this in front of every cell's first line.
const KERNEL_PREFIX = `'use strict'; void 0;`.length;

/** Turns what the kernel tells of an error into lines of the cell: its stack names those of the transpiled text. */
export async function cellError(
  raw: { readonly name: string; readonly message: string; readonly stack: readonly string[] },
  cause: readonly string[],
  sent: string,
): Promise<CellError> {
  const frames = raw.stack.flatMap((text) => text.split("\n")).filter((text) => /^\s+at /.test(text));
  const lineOf = frames.some((frame) => FRAME.test(frame)) ? await sourceLines(sent) : () => null;
  let line: number | null = null;
  const traceback = [`${raw.name}: ${raw.message}`];
  for (const frame of frames) {
    if (/ext:|\$deno\$|overiron\./.test(frame)) continue;
    const found = FRAME.exec(frame);
    if (!found) {
      traceback.push(frame);
      continue;
    }
    const row = Number(found[1]);
    const column = Number(found[2]) - (row === 1 ? KERNEL_PREFIX : 0);
    const own = lineOf(row, column);
    line ??= own;
    traceback.push(frame.replace(FRAME, own === null ? "(this cell)" : `(this cell, line ${own})`));
  }
  traceback.push(...cause.map((text) => `caused by ${text}`));
  return { name: raw.name, message: raw.message, traceback, line };
}

const FRAME = /\(?<anonymous>:(\d+):(\d+)\)?/;
