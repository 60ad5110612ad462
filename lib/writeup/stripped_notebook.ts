import { type CodeCell, type Notebook, writeNotebook } from "./notebook.ts";
import { sha256 } from "./provenance.ts";

/**
 * A notebook as it was before it ran: without outputs and counts, and without the cell that set its parameters.
 *
 * @example
 * ```ts
 * import { readNotebook, strippedNotebook } from "./mod.ts";
 * const cell = { cell_type: "code", id: "a", metadata: {}, source: "1", execution_count: 3, outputs: [] };
 * const ran = readNotebook(JSON.stringify({ nbformat: 4, nbformat_minor: 5, metadata: {}, cells: [cell] }));
 * const before = strippedNotebook(ran).cells[0]!;
 * if (before.cell_type !== "code" || before.execution_count !== null) throw new Error("wrong");
 * ```
 */
export function strippedNotebook(notebook: Notebook): Notebook {
  const cells = notebook.cells.filter((cell) => cell.metadata["overiron-injected"] !== true).map((cell) =>
    cell.cell_type === "code" ? { ...cell, outputs: [], execution_count: null } as CodeCell : cell
  );
  return { ...notebook, cells };
}

/** The SHA-256 of a notebook's text as it was before it ran: the same whether it has outputs or not. */
export function notebookHash(notebook: Notebook): string {
  return sha256(writeNotebook(strippedNotebook(notebook)));
}
