import { codeHash } from "./_code_hash.ts";
import type { Notebook } from "./notebook.ts";
import { sha256 } from "./provenance.ts";
import type { NotebookRun, RunNotebookOptions } from "./run_notebook.ts";
import { notebookHash } from "./stripped_notebook.ts";

/** What a notebook is run as. */
type RunAs = Pick<RunNotebookOptions, "name" | "parameters">;

/** What earlier runs gave, found by all that goes into one. */
export interface NotebookCache {
  /** The run of the same notebook under the same name and parameters, on the same data, code, packages and seed; null where there is none. */
  find(as: RunAs, notebook: Notebook): NotebookRun | null;
  /** Keeps a run for later. A disk that refuses is no fault: the next run does the work again. */
  keep(as: RunAs, notebook: Notebook, run: NotebookRun): void;
}

/** How many runs are kept; the least recently written go first. */
const MOST = 40;

/**
 * Opens the cache of notebook runs in the project's `.overiron/cache`.
 *
 * A run is found by a hash over the notebook, its name and parameters, every data file, the sources of `lib/`, `deno.json`, the lock file, the
 * versions of Deno and V8, and the seed. It holds only what a write-up holds. An entry whose own hash is wrong is passed over.
 * A notebook that looks at anything else (a network, a clock, a file of its own) is the one thing this cannot see.
 */
export async function notebookCache(
  root: string,
  inputs: { readonly data: ReadonlyMap<string, Uint8Array>; readonly seed: number },
): Promise<NotebookCache> {
  const folder = `${root}/.overiron/cache`;
  const shared: string[] = [await codeHash(root), `seed ${inputs.seed}`];
  for (const [path, bytes] of inputs.data) shared.push(`${path} ${sha256(bytes)}`);
  const base = sha256(shared.join("\n"));
  const pathOf = ({ name, parameters = {} }: RunAs, notebook: Notebook): string =>
    `${folder}/${sha256([base, name, JSON.stringify(parameters), notebookHash(notebook)].join("\n"))}.json`;
  return {
    find(as, notebook) {
      try {
        const text = Deno.readTextFileSync(pathOf(as, notebook));
        const at = text.indexOf("\n");
        return sha256(text.slice(at + 1)) === text.slice(0, at) ? JSON.parse(text.slice(at + 1)) : null;
      } catch {
        return null;
      }
    },
    keep(as, notebook, run) {
      try {
        const path = pathOf(as, notebook);
        const body = JSON.stringify(run);
        // Two that read differently than they were written would be two answers to one question.
        if (JSON.stringify(JSON.parse(body)) !== body) return;
        Deno.mkdirSync(folder, { recursive: true });
        const part = `${path}.${Deno.pid}.part`;
        Deno.writeTextFileSync(part, `${sha256(body)}\n${body}`, { mode: 0o600 });
        Deno.renameSync(part, path);
        prune(folder);
      } catch {
        // Without a cache everything works, only slower.
      }
    },
  };
}

function prune(folder: string): void {
  const entries = [...Deno.readDirSync(folder)].filter(({ name }) =>
    /^[0-9a-f]{64}\.json(\.\d+\.part)?$/.test(name)
  )
    .map(({ name }) => ({ name, at: Number(Deno.statSync(`${folder}/${name}`).mtime ?? 0) }))
    .sort((a, b) => b.at - a.at);
  for (const { name } of entries.slice(MOST)) Deno.removeSync(`${folder}/${name}`);
}
