import type { RecordedPrediction, RecordedResult, RecordedTable } from "../figures/show.ts";
import { type PackedPredictions, recordedMediaType, unpackPredictions } from "../figures/show.ts";
import { type CellError, cellError, type SentCell } from "./_cell_error.ts";
import { gatherOutputs, hidePlaces, type Place } from "./_outputs.ts";
import { checkParameters, injectedSource } from "./_parameters.ts";
import { prologue } from "./_prologue.ts";
import { type Kernel, type KernelRun, startKernel } from "./kernel.ts";
import { type CodeCell, type Notebook, tagsOf } from "./notebook.ts";
import { parseCell, type ParsedCell } from "./parse_cell.ts";

/** A value a notebook's parameters may take. */
export type ParameterValue = string | number | boolean | readonly number[];

/** What is told while a notebook runs. Milliseconds are for the eyes only and enter no output. */
export interface Progress {
  readonly notebook: string;
  /** The code cell at work, from 1, and how many there are. */
  readonly cell: number;
  readonly cells: number;
  readonly state: "started" | "done" | "failed" | "skipped";
  /** Milliseconds since the notebook started. */
  readonly ms: number;
}

/** Where and why a notebook stopped. `cell` counts the notebook's code cells from 1, `line` the cell's lines. */
export interface NotebookFailure {
  readonly cell: number;
  readonly cellId: string;
  readonly line: number | null;
  readonly name: string;
  readonly message: string;
}

/** What the run of a notebook gave. */
export interface NotebookRun {
  readonly name: string;
  /** The notebook with its outputs; cells after a failure have none. */
  readonly executed: Notebook;
  readonly results: readonly (RecordedResult & { readonly notebook: string })[];
  readonly tables: readonly (RecordedTable & { readonly notebook: string })[];
  readonly predictions: readonly RecordedPrediction[];
  readonly failure: NotebookFailure | null;
}

/** What kernels are given, made once for all of them. */
export interface Prepared {
  /** Path of a file that holds what `overiron` names, loaded in its place. */
  readonly library?: string | null;
  /** Path of a file that holds what `openData` gives of the folder `../data`. */
  readonly opened?: string | null;
}

export interface RunNotebookOptions {
  /** The notebook's short name, as results name it ("2-test-garden"). */
  readonly name: string;
  /** Folder in which imports are resolved: one with the project's `deno.json` at or above it. */
  readonly cwd: string;
  /** Folder from which the notebook's own relative paths count; default `cwd`. */
  readonly workingFolder?: string;
  /** What its kernel need not make itself; default nothing. */
  readonly prepared?: Prepared;
  /** Values for the names that the cell tagged `parameters` declares; default none. */
  readonly parameters?: Readonly<Record<string, ParameterValue>>;
  /** Seed of `Math.random` in the kernel; default 1. */
  readonly seed?: number;
  /** Milliseconds a cell may take; default 120000. */
  readonly cellTimeoutMs?: number;
  /** Milliseconds the notebook may take; default 600000. */
  readonly runTimeoutMs?: number;
  /** Bytes of output a cell may give; default 5000000. */
  readonly outputCapBytes?: number;
  /** Folders whose paths are written by a name instead wherever they occur in an output; default none. */
  readonly hide?: readonly Place[];
  /** A kernel that has run these cells already: those that still stand unchanged at the head are not run again. */
  readonly resume?: { readonly kernel: Kernel; readonly cells: readonly CodeCell[] };
  readonly onProgress?: (progress: Progress) => void;
}

/**
 * Runs a notebook from top to bottom in a fresh kernel and gives it back with its outputs, and with every number it recorded.
 *
 * A cell tagged `parameters` may be followed by one with other values (the convention of papermill); `skip-execution` and
 * `raises-exception` are honoured. What a cell does wrong never throws here: it becomes the run's `failure` with cell and
 * line, and the cells before it keep their outputs. The kernel is always ended. Outputs hold no times and none of the paths
 * named in `hide`; they are the same for the same notebook, data and seed.
 *
 * Throws RangeError or TypeError for a parameter the notebook does not declare or declares as another type, Error when the
 * kernel cannot be started.
 *
 * @example
 * ```ts
 * import { readNotebook, runNotebook } from "./mod.ts";
 * const cell = { cell_type: "code", id: "a", metadata: {}, source: "1;\nmissing", execution_count: null, outputs: [] };
 * const notebook = readNotebook(JSON.stringify({ nbformat: 4, nbformat_minor: 5, metadata: {}, cells: [cell] }));
 * const run = await runNotebook(notebook, { name: "example", cwd: Deno.cwd() });
 * if (run.failure?.line !== 2) throw new Error("the line was not found");
 * ```
 */
export async function runNotebook(notebook: Notebook, options: RunNotebookOptions): Promise<NotebookRun> {
  const {
    name,
    cwd,
    workingFolder = null,
    prepared,
    parameters = {},
    seed = 1,
    onProgress,
  } = options;
  const { cellTimeoutMs = 120_000, runTimeoutMs = 600_000, outputCapBytes = 5_000_000, hide = [] } = options;
  const cells = structuredClone(notebook.cells) as Notebook["cells"];
  const parsed = new Map<string, ReturnType<typeof parseCell>>();
  for (const cell of cells) if (cell.cell_type === "code") parsed.set(cell.id, parseCell(cell.source));
  inject(cells, parsed, parameters);

  const usedNames = new Set<string>();
  for (const cell of parsed.values()) {
    if ("code" in cell) cell.valueNames.forEach((each) => usedNames.add(each));
  }
  const codeCells = cells.filter((cell) => cell.cell_type === "code");
  const own = codeCells.filter((cell) => cell.metadata["overiron-injected"] !== true);
  const startedAt = performance.now();
  const tell = (cell: CodeCell, state: Progress["state"]): void => {
    const ms = performance.now() - startedAt;
    onProgress?.({ notebook: name, cell: own.indexOf(cell) + 1 || 1, cells: own.length, state, ms });
  };
  for (const cell of codeCells) {
    cell.outputs = [];
    cell.execution_count = null;
  }

  let failure: NotebookFailure | null = null;
  const fail = (cell: CodeCell, error: CellError): void => {
    const { name, message, line } = error;
    cell.outputs.push({
      output_type: "error",
      ename: name,
      evalue: hidePlaces(message, hide),
      traceback: error.traceback.map((text) => hidePlaces(text, hide)),
    });
    if (tagsOf(cell).includes("raises-exception") && !FATAL.has(name)) return;
    failure = {
      cell: own.indexOf(cell) + 1,
      cellId: cell.id,
      line,
      name,
      message: hidePlaces(message, hide),
    };
  };

  const recorded = {
    results: [] as RecordedResult[],
    tables: [] as RecordedTable[],
    predictions: [] as RecordedPrediction[],
  };
  // A text that cannot be read stops the notebook before any of it runs: the kernel need not start.
  const unreadable = codeCells.find((cell) => !("code" in parsed.get(cell.id)!) && !isSkipped(cell));
  if (unreadable && !tagsOf(unreadable).includes("raises-exception")) {
    const fault = parsed.get(unreadable.id) as { line: number; column: number; message: string };
    fail(unreadable, syntaxError(fault, unreadable.source));
    return finish();
  }
  const sentCells: SentCell[] = [];
  let kernel: Kernel | null = null;
  try {
    kernel = options.resume?.kernel ?? await startReadyKernel({ cwd, seed, workingFolder, prepared });
    let count = 0;
    const done = [...options.resume?.cells ?? []];
    for (const cell of codeCells) {
      if (failure !== null) break;
      if (isSkipped(cell)) {
        tell(cell, "skipped");
        continue;
      }
      const before = done.shift();
      if (before !== undefined && before.id === cell.id && before.source === cell.source) {
        cell.outputs = structuredClone(before.outputs);
        cell.execution_count = ++count;
        for (const output of cell.outputs) takeRecorded(output);
        const read = parsed.get(cell.id)!;
        if ("code" in read) {
          sentCells.push({
            cell: own.indexOf(cell) + 1,
            sent: read.code(usedNames),
            functionNames: read.functionNames,
          });
        }
        continue;
      }
      done.length = 0;
      tell(cell, "started");
      cell.execution_count = ++count;
      const read = parsed.get(cell.id)!;
      if ("line" in read) {
        fail(cell, syntaxError(read, cell.source));
      } else {
        await runCell(kernel, cell, read);
      }
      tell(cell, failure === null ? "done" : "failed");
    }
  } finally {
    if (options.resume === undefined) await kernel?.stop();
  }
  return finish();

  async function runCell(kernel: Kernel, cell: CodeCell, read: ParsedCell): Promise<void> {
    const left = runTimeoutMs - (performance.now() - startedAt);
    const timeoutMs = Math.max(1, Math.min(cellTimeoutMs, left));
    const sent = read.code(usedNames);
    sentCells.push({ cell: own.indexOf(cell) + 1, sent, functionNames: read.functionNames });
    const run = await kernel.execute(sent, { timeoutMs, outputCapBytes });
    const { outputs, error } = gatherOutputs(run.messages, cell.execution_count!, hide);
    cell.outputs = outputs;
    for (const output of outputs) takeRecorded(output);
    const stopped = endedEarly(run, { timeoutMs, cellTimeoutMs, runTimeoutMs, outputCapBytes });
    if (stopped) return fail(cell, stopped);
    const thrown = run.thrown;
    if (run.end === "error" || error) {
      const raw = error ??
        { name: "Error", message: "The kernel could not run this cell and says no more", stack: [] };
      // The kernel writes a thrown object as "[object Object]"; what was noted where it was thrown says more.
      const better = thrown && (thrown.name === "Thrown" || thrown.message === raw.message) ? thrown : null;
      const said = better?.name === "Thrown" ? { ...better, stack: [better.stack] } : raw;
      return fail(cell, await cellError(said, better?.cause ?? [], sentCells));
    }
    const late = run.late[0];
    if (late) {
      const raw = {
        name: late.name,
        message: `${late.message} (${late.how})`,
        stack: late.stack.split("\n"),
      };
      fail(cell, await cellError(raw, late.cause, sentCells));
    }
  }

  function takeRecorded(output: CodeCell["outputs"][number]): void {
    if (output.output_type !== "display_data" && output.output_type !== "execute_result") return;
    const bundle = output.data[recordedMediaType] as
      | Partial<Pick<typeof recorded, "results" | "tables">> & { readonly predictions?: PackedPredictions }
      | undefined;
    if (bundle === undefined) return;
    recorded.results.push(...bundle.results ?? []);
    recorded.tables.push(...bundle.tables ?? []);
    // Empty lists come as they are.
    if (bundle.predictions?.signal) recorded.predictions.push(...unpackPredictions(bundle.predictions));
    // They are written to a file of their own; a notebook is no place for thousands of lines.
    const { predictions: _, ...kept } = bundle;
    output.data[recordedMediaType] = kept;
  }

  function finish(): NotebookRun {
    const withName = <T>(item: T): T & { notebook: string } => ({ ...item, notebook: name });
    return {
      name,
      executed: { ...notebook, cells },
      results: recorded.results.map(withName),
      tables: recorded.tables.map(withName),
      predictions: recorded.predictions,
      failure,
    };
  }
}

/** The kernel that is starting. One at a time: until its prologue has run, a kernel holds half as much again. */
let starting: Promise<unknown> = Promise.resolve();

/** Starts a kernel that tells what it would otherwise swallow. Throws Error where it does not come up. */
export function startReadyKernel(options: Parameters<typeof startNow>[0]): Promise<Kernel> {
  const started = starting.then(() => startNow(options));
  starting = started.catch(() => {});
  return started;
}

async function startNow(
  options: {
    readonly cwd: string;
    readonly seed: number;
    readonly workingFolder: string | null;
    readonly prepared?: Prepared | undefined;
  },
): Promise<Kernel> {
  const kernel = await startKernel({ cwd: options.cwd, seed: options.seed });
  const ready = await kernel.execute(prologue(options.workingFolder, options.prepared));
  if (ready.end === "ok") return kernel;
  await kernel.stop();
  throw new Error(`Cannot start the kernel: its prologue gave ${ready.end}${saidBy(ready)}`);
}

/** Ends that a cell cannot be allowed to expect: the kernel is gone. */
export const FATAL = new Set(["TimedOut", "KernelEnded", "OutputTooLarge"]);

const isSkipped = (cell: CodeCell): boolean => tagsOf(cell).includes("skip-execution");

const saidBy = (run: KernelRun): string => {
  const error = run.messages.find((message) => message.type === "error");
  return error ? `: ${error.content.evalue}` : "";
};

function syntaxError(fault: { line: number; column: number; message: string }, source: string): CellError {
  const { line, column, message } = fault;
  const shown = source.split("\n")[line - 1] ?? "";
  const traceback = [
    `SyntaxError: ${message}`,
    `    at (this cell, line ${line}, column ${column})`,
    `    ${shown}`,
  ];
  return { name: "SyntaxError", message, traceback: [...traceback, `    ${" ".repeat(column - 1)}^`], line };
}

interface Limits {
  readonly timeoutMs: number;
  readonly cellTimeoutMs: number;
  readonly runTimeoutMs: number;
  readonly outputCapBytes: number;
}

function endedEarly(run: KernelRun, limits: Limits): CellError | null {
  const error = (name: string, message: string): CellError => ({
    name,
    message,
    traceback: [`${name}: ${message}`],
    line: null,
  });
  if (run.end === "timed-out") {
    const whole = limits.timeoutMs < limits.cellTimeoutMs;
    const seconds = (whole ? limits.runTimeoutMs : limits.cellTimeoutMs) / 1000;
    return error(
      "TimedOut",
      `${whole ? "The notebook" : "The cell"} took longer than the ${seconds} s it may take`,
    );
  }
  if (run.end === "died") return error("KernelEnded", "The cell ended the kernel itself");
  if (run.end === "too-large") {
    const cap = limits.outputCapBytes / 1_000_000;
    return error(
      "OutputTooLarge",
      `The cell's output is larger than ${cap} MB: write it to a file and show a part of it`,
    );
  }
  return null;
}

function inject(
  cells: Notebook["cells"],
  parsed: Map<string, ReturnType<typeof parseCell>>,
  parameters: Readonly<Record<string, ParameterValue>>,
): void {
  if (Object.keys(parameters).length === 0) return;
  const at = cells.findIndex((cell) => cell.cell_type === "code" && tagsOf(cell).includes("parameters"));
  const read = parsed.get(cells[at]?.id ?? "");
  if (read && !("code" in read)) return;
  checkParameters(parameters, read?.declared ?? null);
  const source = injectedSource(parameters);
  const ids = new Set(cells.map((cell) => cell.id));
  let id = "injected-parameters";
  while (ids.has(id)) id += "-";
  const previous = cells.findIndex((cell) => tagsOf(cell).includes("injected-parameters"));
  if (previous >= 0) cells.splice(previous, 1);
  const metadata = { tags: ["injected-parameters"], "overiron-injected": true };
  cells.splice(at + 1, 0, { cell_type: "code", id, metadata, source, execution_count: null, outputs: [] });
  parsed.set(id, parseCell(source));
}
