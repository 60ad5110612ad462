import {
  type CellOutput,
  type NotebookRun,
  runNotebook,
  type RunNotebookOptions,
} from "../../lib/writeup/mod.ts";
import { notebookOf, root, type ShortCell } from "./_notebooks.ts";

/** Runs cells in short as a notebook called "toy", in the project's folder. */
export const runCells = (
  cells: readonly ShortCell[],
  options: Partial<RunNotebookOptions> = {},
): Promise<NotebookRun> =>
  runNotebook(notebookOf(cells), {
    name: "toy",
    cwd: root,
    hide: [{ path: root, name: "overiron" }],
    ...options,
  });

/** The outputs of a code cell, counted from 1. */
export const outputsOf = (ran: NotebookRun, cell: number): readonly CellOutput[] => {
  const codes = ran.executed.cells.filter((each) => each.cell_type === "code");
  return codes[cell - 1]!.outputs;
};

/** A form of what a code cell shows last; the whole output where it has no forms. */
export const shownBy = (ran: NotebookRun, cell: number, type: string): unknown => {
  const output = outputsOf(ran, cell).at(-1);
  return output && "data" in output ? (output.data as Record<string, unknown>)[type] : output;
};

/** The plain text of what a code cell shows last. */
export const plainOf = (ran: NotebookRun, cell: number): unknown => shownBy(ran, cell, "text/plain");

/** A cell that is expected to fail. */
export const expected = (code: string): ShortCell => ({ code, tags: ["raises-exception"] });
