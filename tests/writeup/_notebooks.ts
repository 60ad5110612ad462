import { type Notebook, readNotebook } from "../../lib/writeup/mod.ts";

/** The project's root. */
export const root = new URL("../../", import.meta.url).pathname.replace(/\/$/, "");

/** A cell in short: a text is code, `md` Markdown, with tags where needed. */
export type ShortCell = string | { readonly md: string } | {
  readonly code: string;
  readonly tags: readonly string[];
};

/** Makes a notebook of cells in short. */
export function notebookOf(cells: readonly ShortCell[]): Notebook {
  const full = cells.map((cell, i) => {
    const id = `cell-${i + 1}`;
    if (typeof cell === "object" && "md" in cell) {
      return { cell_type: "markdown", id, metadata: {}, source: cell.md };
    }
    const [source, metadata] = typeof cell === "string" ? [cell, {}] : [cell.code, { tags: cell.tags }];
    return { cell_type: "code", id, metadata, source, execution_count: null, outputs: [] };
  });
  return readNotebook(JSON.stringify({ nbformat: 4, nbformat_minor: 5, metadata: {}, cells: full }));
}

/** Whether a process is there. */
export function isAlive(pid: number): boolean {
  try {
    Deno.kill(pid, "SIGCONT");
    return true;
  } catch {
    return false;
  }
}
