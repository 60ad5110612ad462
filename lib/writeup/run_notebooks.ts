import type { Notebook } from "./notebook.ts";
import { type NotebookRun, runNotebook, type RunNotebookOptions } from "./run_notebook.ts";

export interface RunNotebooksOptions {
  /** How many kernels may be at work at once; default 2. */
  readonly atOnce?: number;
  /** Told what has run once no notebook waits any more for the place that one leaves: time for work that needs no kernel. */
  readonly onFree?: (done: readonly NotebookRun[]) => Promise<void>;
}

/**
 * Runs several notebooks, two at a time unless told otherwise, and gives their runs back in the order given. Those with the most
 * cells are started first, so that none works long alone at the end. Each has a kernel of its own, so neither the order nor the
 * number at once changes a byte of what comes out.
 *
 * A notebook that fails does not stop the others. Throws what {@link runNotebook} throws, after every kernel has ended, and
 * RangeError where `atOnce` is not a whole number of 1 or above.
 *
 * @example
 * ```ts
 * import { readNotebook, runNotebooks } from "./mod.ts";
 * const notebook = readNotebook('{"nbformat":4,"nbformat_minor":5,"metadata":{},"cells":[]}');
 * const jobs = ["a", "b"].map((name) => ({ notebook, options: { name, cwd: Deno.cwd() } }));
 * const names = (await runNotebooks(jobs)).map((run) => run.name);
 * if (names.join() !== "a,b") throw new Error("wrong order");
 * ```
 */
export async function runNotebooks(
  jobs: readonly { readonly notebook: Notebook; readonly options: RunNotebookOptions }[],
  options: RunNotebooksOptions = {},
): Promise<NotebookRun[]> {
  const { atOnce = 2, onFree } = options;
  if (!Number.isInteger(atOnce) || atOnce < 1) {
    throw new RangeError(`Cannot run notebooks: atOnce must be a whole number of 1 or above, got ${atOnce}`);
  }
  const runs: NotebookRun[] = new Array(jobs.length);
  const errors: unknown[] = [];
  const cells = jobs.map(({ notebook }) =>
    notebook.cells.filter(({ cell_type }) => cell_type === "code").length
  );
  const waiting = jobs.map((_, at) => at).sort((a, b) => cells[b]! - cells[a]!);
  const work = async (): Promise<void> => {
    while (waiting.length > 0 && errors.length === 0) {
      const at = waiting.shift()!;
      try {
        const { notebook, options } = jobs[at]!, { prepared, ...bare } = options;
        const run = await runNotebook(notebook, options);
        // Run from the sources its traceback names their lines.
        const again = run.failure !== null && prepared !== undefined;
        runs[at] = again ? await runNotebook(notebook, bare) : run;
      } catch (error) {
        errors.push(error);
      }
    }
    if (errors.length === 0) await onFree?.(runs.filter((run) => run !== undefined));
  };
  await Promise.all(Array.from({ length: Math.min(atOnce, jobs.length) }, work));
  if (errors.length > 0) throw errors[0];
  return runs;
}
