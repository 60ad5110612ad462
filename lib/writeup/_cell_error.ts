import { sourceLines } from "./_source_lines.ts";

/** An error of a cell as the notebook keeps it. */
export interface CellError {
  readonly name: string;
  readonly message: string;
  readonly traceback: readonly string[];
  /** Line of the cell, from 1; null where it cannot be told. */
  readonly line: number | null;
}

/** A cell as it was sent to the kernel. */
export interface SentCell {
  /** Its number among the notebook's code cells. */
  readonly cell: number;
  readonly sent: string;
  readonly functionNames: ReadonlySet<string>;
}

/**
 * Turns what the kernel tells of an error into lines of the cells: its stack names those of the transpiled text, and gives
 * every cell the same name. A function written in an earlier cell is found by its name. `cells` are those sent so far, the
 * one that failed last.
 */
export async function cellError(
  told: { readonly name: string; readonly message: string; readonly stack: readonly string[] },
  cause: readonly string[],
  cells: readonly SentCell[],
): Promise<CellError> {
  const raw = {
    ...told,
    message: told.message.replace(GIVE_A_FLAG, ": a notebook may read files, and no more"),
  };
  const own = cells.at(-1)!;
  const frames = raw.stack.flatMap((text) => text.split("\n")).filter((text) => /^\s+at /.test(text));
  const maps = new Map<SentCell, Awaited<ReturnType<typeof sourceLines>>>();
  let line: number | null = null;
  const traceback = [`${raw.name}: ${raw.message}`];
  for (const frame of frames) {
    if (/ext:|\$deno\$|helperOf/.test(frame)) continue;
    const found = FRAME.exec(frame);
    if (!found) {
      traceback.push(frame);
      continue;
    }
    const called = /at (?:async |new )*([\w$.]+) \(/.exec(frame)?.[1]?.split(".").at(-1) ?? "";
    const wrote = cells.findLast((cell) => cell.functionNames.has(called)) ?? own;
    const cell = own.functionNames.has(called) ? own : wrote;
    if (!maps.has(cell)) maps.set(cell, await sourceLines(cell.sent));
    const row = Number(found[1]);
    const at = maps.get(cell)!(row, Number(found[2]) - (row === 1 ? KERNEL_PREFIX : 0));
    if (at === null) continue;
    if (cell === own) line ??= at;
    traceback.push(frame.replace(FRAME, `(${cell === own ? "this cell" : `cell ${cell.cell}`}, line ${at})`));
  }
  traceback.push(...cause.map((text) => `caused by ${text}`));
  return { name: raw.name, message: raw.message, traceback, line };
}

// What the kernel advises cannot be done: it takes no flags.
const GIVE_A_FLAG = /, run again with the --allow-\w+ flag$/;
// The kernel puts this in front of every cell's first line.
const KERNEL_PREFIX = `'use strict'; void 0;`.length;
const FRAME = /\(?<anonymous>:(\d+):(\d+)\)?/;
