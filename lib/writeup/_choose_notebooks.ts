import { basename } from "node:path";
import { bareNotebook } from "./_bare_notebook.ts";
import { type Notebook, readNotebook } from "./notebook.ts";
import { OutputFault } from "./output_fault.ts";

/** A notebook of a write-up to be. */
export interface Job {
  readonly name: string;
  /** Whether it is the person's, not the project's. */
  readonly own: boolean;
  readonly notebook: Notebook;
}

const logNames = { "dig-log": "a dig log", "garden-log": "a garden log" } as const;

/**
 * The notebooks of the project, in order, then the person's own; and those whose logs are missing. Throws OutputFault for
 * one that cannot be read or has a name that cannot be used.
 */
export async function chooseNotebooks(
  options: { readonly root: string; readonly ownNotebooks?: readonly string[] },
  logs: { readonly digLog: unknown; readonly gardenLog: unknown },
): Promise<{ jobs: Job[]; leftOut: { readonly title: string; readonly reason: string }[] }> {
  const folder = `${options.root}/notebooks`;
  const paths = [...Deno.readDirSync(folder)].map((entry) => entry.name).filter((name) =>
    name.endsWith(".ipynb")
  ).sort().map((name) => `${folder}/${name}`);
  const jobs: Job[] = [], leftOut: { title: string; reason: string }[] = [];
  for (const path of [...paths, ...options.ownNotebooks ?? []]) {
    const name = basename(path).replace(/\.ipynb$/, "");
    const own = !paths.includes(path), read = await readFrom(path);
    const notebook = own ? bareNotebook(read) : read;
    const { needs = [] } = (notebook.metadata.overiron ?? {}) as {
      needs?: readonly (keyof typeof logNames)[];
    };
    const missing = needs.filter((need) =>
      need === "dig-log" ? logs.digLog === null : logs.gardenLog === null
    );
    if (!/^[A-Za-z0-9][\w.-]*$/.test(name) || jobs.some((job) => job.name === name)) {
      throw new OutputFault(
        `Cannot take notebook ${path}: its name must be of letters, digits, - and _ and no other's, got ${name}`,
        "input",
      );
    }
    if (missing.length === 0) jobs.push({ name, notebook, own });
    else {
      const reason = `it needs ${missing.map((need) => logNames[need]).join(" and ")}`;
      leftOut.push({ title: titleOf(notebook) ?? name, reason });
    }
  }
  return { jobs, leftOut };
}

async function readFrom(path: string): Promise<Notebook> {
  try {
    return readNotebook(await Deno.readTextFile(path));
  } catch (error) {
    throw new OutputFault(`Cannot take notebook ${path}: ${(error as Error).message}`, "input", {
      cause: error,
    });
  }
}

function titleOf(notebook: Notebook): string | undefined {
  const source = notebook.cells.find((cell) => cell.cell_type === "markdown")?.source;
  const text = Array.isArray(source) ? source.join("") : source;
  return text === undefined ? undefined : /^#\s+(.+)$/m.exec(text as string)?.[1];
}
