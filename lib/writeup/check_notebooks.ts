import { type CellFinding, inspectCells } from "./_inspect_cells.ts";
import { checkNotebookTypes } from "./check_notebook_types.ts";
import { readNotebook } from "./notebook.ts";
import { references } from "./_references.ts";

/** Something in a notebook that its author should see to. */
export interface NotebookFinding extends CellFinding {
  /** The file's name. */
  readonly notebook: string;
}

/** Options of {@link checkNotebooks}. */
export interface CheckNotebooksOptions {
  /** The project's root: cells are checked with its `deno.json`. */
  readonly root: string;
  /** Only notebooks of these file names. Default: all of the folder. */
  readonly only?: readonly string[];
}

/**
 * Checks every notebook of a folder without running it: that it can be read, the types of its cells against the library, names
 * used in a cell above the one that defines them, outputs and counts left in the file, pictures without alternative text,
 * references to figures and sources that are not there, and cells without effect.
 *
 * Returns the findings by notebook and cell; an empty list where there is none. Throws the system's error where the folder cannot be read.
 */
export async function checkNotebooks(
  folder: string,
  options: CheckNotebooksOptions,
): Promise<readonly NotebookFinding[]> {
  const { root, only } = options;
  const names = [...Deno.readDirSync(folder)].map((entry) => entry.name).filter((name) =>
    name.endsWith(".ipynb") && (only === undefined || only.includes(name))
  ).sort();
  const findings: NotebookFinding[] = [];
  const texts = new Map(names.map((name) => [name, Deno.readTextFileSync(`${folder}/${name}`)]));
  // An id that a cell puts together, `drift-${i + 1}`, may be any number or word there.
  const ids = [...texts.values()].flatMap((text) =>
    [...text.matchAll(/\bid: \\?["'`]((?:[a-z0-9-]|\$\{[^}]*\})+)\\?["'`]/g)].map(([, id]) =>
      new RegExp(`^${id!.replace(/\$\{[^}]*\}/g, "[a-z0-9-]+")}$`)
    )
  );
  const figures = { has: (id: string): boolean => ids.some((each) => each.test(id)) };
  const readable: string[] = [];
  const order = new Map<string, number>();
  for (const [name, text] of texts) {
    try {
      const notebook = readNotebook(text);
      notebook.cells.forEach(({ id }, i) => order.set(`${name} ${id}`, i));
      const found = inspectCells(notebook, { figures, sources: new Set(Object.keys(references())) });
      findings.push(...found.map((each) => ({ notebook: name, ...each })));
      // One text that cannot be read would keep the types of all others from being checked.
      if (found.every(({ kind }) => kind !== "syntax")) readable.push(name);
    } catch (error) {
      findings.push({
        notebook: name,
        kind: "unreadable",
        cellId: null,
        line: null,
        message: (error as Error).message,
      });
    }
  }
  const types = await checkNotebookTypes(folder, { root, only: readable });
  const early = new Set(
    findings.filter(({ kind }) => kind === "used-before-defined").map(({ notebook, cellId, line }) =>
      `${notebook} ${cellId} ${line}`
    ),
  );
  for (const fault of types) {
    const [, notebook, cellId, line, message] =
      /^(.+?\.ipynb), cell (\S+), line (\d+): ([\s\S]*)$/.exec(fault) ?? [];
    // That a name is used before it is there was said in plain words.
    if (/^TS(2448|2454)\b/.test(message ?? "") && early.has(`${notebook} ${cellId} ${line}`)) continue;
    findings.push(
      notebook === undefined
        ? { notebook: "", kind: "types", cellId: null, line: null, message: fault }
        : { notebook, kind: "types", cellId: cellId!, line: Number(line), message: message! },
    );
  }
  const place = ({ notebook, cellId }: NotebookFinding): number => order.get(`${notebook} ${cellId}`) ?? -1;
  return findings.sort((a, b) =>
    a.notebook === b.notebook
      ? place(a) - place(b) || (a.line ?? 0) - (b.line ?? 0)
      : a.notebook < b.notebook
      ? -1
      : 1
  );
}

/** A finding as one line of text. */
export function findingText({ notebook, cellId, line, message }: NotebookFinding): string {
  const place = [notebook, cellId === null ? "" : `cell ${cellId}`, line === null ? "" : `line ${line}`];
  return `${place.filter((part) => part !== "").join(", ")}: ${message}`;
}
