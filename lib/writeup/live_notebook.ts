import type { Kernel } from "./kernel.ts";
import type { CodeCell, Notebook } from "./notebook.ts";
import {
  FATAL,
  type NotebookRun,
  runNotebook,
  type RunNotebookOptions,
  startReadyKernel,
} from "./run_notebook.ts";

/** A notebook with a kernel that stays, for somebody who is writing it. */
export interface LiveNotebook {
  /**
   * Runs what has changed: from the first cell whose text is another on. With `restart` the kernel starts anew and everything
   * runs, since a kernel does not see that a module it has loaded was changed.
   */
  update(notebook: Notebook, options?: { readonly restart?: boolean }): Promise<LiveRun>;
  /** Ends the kernel. */
  stop(): Promise<void>;
}

/** What an update gave. `ranCells` counts the code cells that were run. */
export interface LiveRun {
  readonly run: NotebookRun;
  readonly ranCells: number;
}

/**
 * Keeps a notebook's kernel between runs, so that a change low in it is shown at once.
 *
 * A name that a changed cell no longer declares stays in the kernel until a restart, and so does what a cell below the change
 * had done: what is published is always run from top to bottom in a fresh kernel.
 */
export function liveNotebook(options: Omit<RunNotebookOptions, "resume">): LiveNotebook {
  const { cwd, seed = 1, workingFolder = null, onProgress } = options;
  let kernel: Kernel | null = null;
  let done: readonly CodeCell[] = [];
  const stop = async (): Promise<void> => {
    await kernel?.stop();
    kernel = null;
    done = [];
  };
  return {
    stop,
    async update(notebook, { restart = false } = {}) {
      if (restart) await stop();
      kernel ??= await startReadyKernel({ cwd, seed, workingFolder });
      let ranCells = 0;
      const run = await runNotebook(notebook, {
        ...options,
        resume: { kernel, cells: done },
        onProgress: (progress) => {
          if (progress.state === "started") ranCells++;
          onProgress?.(progress);
        },
      });
      const code = run.executed.cells.filter((cell): cell is CodeCell => cell.cell_type === "code");
      const failed = code.findIndex((cell) => cell.id === run.failure?.cellId);
      done = code.slice(0, failed < 0 ? code.length : failed).filter((cell) => cell.execution_count !== null);
      if (run.failure !== null && FATAL.has(run.failure.name)) await stop();
      return { run, ranCells };
    },
  };
}
