import { join } from "node:path";

/** Options of {@link checkNotebookTypes}. */
export interface CheckNotebookTypesOptions {
  /** The project's root: cells are checked with its `deno.json`. */
  readonly root: string;
  /** Only notebooks of these file names. Default: all of the folder. */
  readonly only?: readonly string[];
}

interface CellLine {
  readonly cell: string;
  readonly line: number;
}

interface RawNotebook {
  readonly cells: readonly {
    readonly cell_type: string;
    readonly id: string;
    readonly metadata?: { readonly tags?: readonly string[] };
    readonly source: string | readonly string[];
  }[];
}

/** Puts a notebook's code cells under one another, and tells for each line which cell and line it was. */
function asModule(notebook: RawNotebook): { text: string; places: readonly CellLine[] } {
  const lines: string[] = [], places: CellLine[] = [];
  for (const cell of notebook.cells) {
    if (cell.cell_type !== "code") continue;
    // A cell that is not run, or that is meant to fail, may be wrong.
    if (cell.metadata?.tags?.some((tag) => tag === "skip-execution" || tag === "raises-exception")) continue;
    const source = typeof cell.source === "string" ? cell.source : cell.source.join("");
    source.split("\n").forEach((line, i) => {
      lines.push(line);
      places.push({ cell: cell.id, line: i + 1 });
    });
  }
  return { text: `${lines.join("\n")}\nexport {};\n`, places };
}

/**
 * Checks the types of every notebook's cells in a folder with the pinned Deno, as one module a notebook.
 *
 * Returns one line a fault, "notebook, cell, line: message"; an empty list where there is none. A name declared in two
 * cells is a fault here, although the kernel allows it.
 */
export async function checkNotebookTypes(
  folder: string,
  options: CheckNotebookTypesOptions,
): Promise<readonly string[]> {
  const { root, only } = options;
  const room = join(root, ".overiron", `check-${Deno.pid}`);
  await Deno.mkdir(room, { recursive: true });
  const names = [...Deno.readDirSync(folder)].map((entry) => entry.name).filter((name) =>
    name.endsWith(".ipynb") && (only === undefined || only.includes(name))
  ).sort();
  const faults: string[] = [];
  try {
    const files = new Map<string, { name: string; places: readonly CellLine[] }>();
    for (const name of names) {
      const { text, places } = asModule(
        JSON.parse(await Deno.readTextFile(join(folder, name))) as RawNotebook,
      );
      const file = name.replace(/\.ipynb$/, ".ts");
      await Deno.writeTextFile(join(room, file), text);
      files.set(file, { name, places });
    }
    if (files.size === 0) return [];
    const { code, stderr } = await new Deno.Command(Deno.execPath(), {
      args: ["check", "--quiet", ...[...files.keys()].map((file) => join(room, file))],
      cwd: root,
      env: { NO_COLOR: "1" },
      stdout: "null",
      stderr: "piped",
    }).output();
    if (code === 0) return [];
    const output = new TextDecoder().decode(stderr);
    for (const part of output.split(/\n(?=TS\d+|error:)/)) {
      const place = /at file:\/\/\S*\/([^/\s:]+\.ts):(\d+):\d+/.exec(part);
      const message = part.split("\n")[0]!.trim();
      const known = place && files.get(place[1]!);
      const at = known ? known.places[Number(place[2]) - 1] : undefined;
      if (known && at) faults.push(`${known.name}, cell ${at.cell}, line ${at.line}: ${message}`);
      else if (/^(TS\d+|error: (?!Type checking failed))/.test(message)) faults.push(part.trim());
    }
    return faults.length > 0 ? faults : [output.trim()];
  } finally {
    await Deno.remove(room, { recursive: true });
  }
}
