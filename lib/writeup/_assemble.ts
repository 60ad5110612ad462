import { csvText } from "../log/mod.ts";
import { citationFile } from "./citation_file.ts";
import { kernelLibrary } from "./_kernel_library.ts";
import { openedData } from "./_opened_data.ts";
import { headlineIds } from "./headline_ids.ts";
import { type Headline, headline } from "./headline.ts";
import { type Notebook, tagsOf, writeNotebook } from "./notebook.ts";
import { notebookCache } from "./notebook_cache.ts";
import { type AboutPage, type Provenance, provenance, sha256 } from "./provenance.ts";
import { researchObject } from "./research_object.ts";
import { type NotebookRun, type Progress } from "./run_notebook.ts";
import { runNotebooks } from "./run_notebooks.ts";
import type { SeasonParameters } from "./season_parameters.ts";
import { strippedNotebook } from "./stripped_notebook.ts";
import { nineDigits, writeResults } from "./write_results.ts";

/** What a write-up is made from once its data have been published. */
export interface AssembleParts {
  /** The project's root. */
  readonly root: string;
  /** Holds `data/` already; notebooks count their paths from its `notebooks/`. */
  readonly folder: string;
  /** In order, as they are before they run. */
  readonly notebooks: readonly {
    readonly name: string;
    readonly notebook: Notebook;
    /** Whether its kernel loads the library from the sources and opens the data itself: one that is not the project's may do so in any way. */
    readonly fromSources?: boolean;
  }[];
  readonly inputs: Provenance["inputs"];
  /** What became of the rows of each log. */
  readonly rows: NonNullable<Provenance["rows"]>;
  readonly seed: number;
  /** What the person set, for the notebooks that declare it. */
  readonly parameters: SeasonParameters;
  readonly command: string;
  readonly page: AboutPage;
  /** Whether results of an earlier run of the same code on the same data may be taken. */
  readonly cached: boolean;
  readonly onProgress?: ((progress: Progress) => void) | undefined;
}

/** All files of a write-up but its data, by relative path, and what was found on the way. */
export interface Assembled {
  readonly files: ReadonlyMap<string, string>;
  readonly runs: readonly NotebookRun[];
  readonly headlines: readonly Headline[];
  /** Notebooks that were taken from an earlier run. */
  readonly reused: readonly string[];
}

/** Runs the notebooks on published data and makes every other file of the write-up. Nothing is written. */
export async function assemble(parts: AssembleParts): Promise<Assembled> {
  const { root, folder, seed, page, inputs, rows, onProgress } = parts;
  const data = new Map(
    [...Deno.readDirSync(`${folder}/data`)].map(({ name }) => name).sort().map((
      name,
    ) => [`data/${name}`, Deno.readFileSync(`${folder}/data/${name}`)]),
  );
  const jobs = parts.notebooks.map(({ name, notebook }) => ({
    notebook,
    options: {
      name,
      cwd: `${root}/notebooks`,
      workingFolder: `${folder}/notebooks`,
      parameters: {
        ...(declares(notebook, "data") ? { data: "../data" } : {}),
        ...(declares(notebook, "seed") ? { seed } : {}),
        ...Object.fromEntries(Object.entries(parts.parameters).filter(([name]) => declares(notebook, name))),
      },
      seed,
      hide: [{ path: folder, name: "write-up" }, { path: root, name: "overiron" }],
      ...(onProgress ? { onProgress } : {}),
    },
  }));
  const cache = parts.cached ? await notebookCache(root, { data, seed }) : null;
  const known = jobs.map((job) => cache?.find(job.options, job.notebook) ?? null);
  const fromSources = parts.notebooks.map((each) => each.fromSources === true);
  const prepares = known.some((run, i) => run === null && !fromSources[i]);
  // Before a kernel starts: both take memory, and a kernel is heard at once only while this process has nothing else to do.
  const prepared = prepares
    ? { library: await kernelLibrary(root), opened: await openForKernels(folder) }
    : null;
  const fresh = await runNotebooks(
    jobs.map(({ notebook, options }, i) => ({
      notebook,
      options: fromSources[i] || prepared === null ? options : { ...options, prepared },
    })).filter((_, i) => known[i] === null),
    // What goes wrong here the page meets again.
    { onFree: (done) => drawAhead(done).catch(() => {}) },
  ).finally(async () => {
    if (prepared?.opened) await Deno.remove(prepared.opened);
  });
  for (const run of fresh) {
    const job = jobs.find(({ options }) => options.name === run.name)!;
    if (run.failure === null) cache?.keep(job.options, job.notebook, run);
  }
  const runs = known.map((run) => run ?? fresh.shift()!);
  const results = runs.flatMap((run) => run.results);
  const shown = headlineIds.flatMap(({ id, label }) => {
    const found = results.find((result) => result.id === id && "value" in result) ??
      results.find((result) => result.id === id);
    return found ? [{ id, headline: headline(found, label) }] : [];
  });
  const made: Provenance = {
    ...provenance({
      inputs: [],
      notebooks: parts.notebooks.map(({ name, notebook }) => ({
        name,
        text: writeNotebook(strippedNotebook(notebook)),
      })),
      seed,
      command: parts.command,
      packageJson: await Deno.readTextFile(`${root}/package.json`),
      packageLock: await Deno.readTextFile(`${root}/package-lock.json`),
    }),
    inputs,
    rows,
    ...(Object.keys(parts.parameters).length > 0 ? { parameters: parts.parameters } : {}),
    page,
  };
  const files = new Map<string, string>();
  // Loaded only now: while kernels are at work this process need not hold what a page is made with.
  const { renderPage } = await import("./render_page.ts");
  files.set(
    "results.json",
    writeResults({
      seed,
      inputs: rows,
      headline: shown.map(({ id }) => id),
      results,
      tables: runs.flatMap((run) => run.tables),
    }),
  );
  const predictions = predictionsCsv(runs);
  if (predictions !== null) files.set("predictions.csv", predictions);
  for (const { name, executed } of runs) files.set(`notebooks/${name}.ipynb`, writeNotebook(executed));
  files.set("CITATION.cff", citationFile(made));
  const notes: Readonly<Record<string, string>> = {
    "results.json": "every number of the text, with interval and counts",
    "predictions.csv": "what each model said of each signal it had not learnt from",
    "CITATION.cff": "how to cite this, for programs",
  };
  const size = (path: string): number =>
    data.get(path)?.length ?? new TextEncoder().encode(files.get(path)!).length;
  files.set(
    "index.html",
    renderPage({
      ...page,
      standfirst: standfirst(rows, runs.length),
      headlines: shown.map((each) => each.headline),
      notebooks: runs,
      provenance: made,
      methods: results.flatMap((result) => "interval" in result ? [result.interval.method] : []),
      downloads: [
        ...[...files.keys()].filter((path) => !path.includes("/")),
        ...data.keys(),
        ...[...files.keys()].filter((path) => path.startsWith("notebooks/")),
      ].map((path) => ({
        href: path,
        label: path,
        bytes: size(path),
        ...(notes[path] === undefined ? {} : { note: notes[path] }),
      })).concat([
        {
          href: "provenance.json",
          label: "provenance.json",
          note: "inputs, versions, seed, command, and the SHA-256 of every file",
        },
        {
          href: "ro-crate-metadata.json",
          label: "ro-crate-metadata.json",
          note: "what each file is, for programs",
        },
      ] as never[]),
    }),
  );
  files.set(
    "ro-crate-metadata.json",
    researchObject({
      provenance: made,
      data: JSON.parse(
        new TextDecoder().decode(data.get("data/datapackage.json") ?? new TextEncoder().encode("{}")),
      ),
      files: [...data.keys(), ...files.keys()].sort().map((path) => ({ path, bytes: size(path) })),
    }),
  );
  const hashes = [...data.keys(), ...files.keys()].sort().map((path) =>
    [path, sha256(data.get(path) ?? files.get(path)!)] as const
  );
  files.set(
    "provenance.json",
    `${JSON.stringify({ ...made, files: Object.fromEntries(hashes) }, null, 2)}\n`,
  );
  return {
    files,
    runs,
    headlines: shown.map((each) => each.headline),
    reused: known.flatMap((run) => run === null ? [] : [run.name]),
  };
}

/** Opens the data for all kernels, and clears away what reading and publishing left, where the task was started so that it can be. */
async function openForKernels(folder: string): Promise<string | null> {
  const opened = await openedData(folder);
  (globalThis as { gc?: () => void }).gc?.();
  return opened;
}

/** Draws what has run while the last notebook is at work; what a page is made with is loaded only then. */
async function drawAhead(runs: readonly NotebookRun[]): Promise<void> {
  const { drawCells } = await import("./_cells_html.ts");
  for (const { name, executed, failure } of runs) {
    drawCells(name, executed, failure);
    // Between two of them the last notebook's messages are heard.
    await new Promise((resolve) => setTimeout(resolve, 0));
  }
}

/** A sentence that says what the page rests on. */
function standfirst(rows: AssembleParts["rows"], parts: number): string {
  const accepted = (role: string): number => Number(rows.find((each) => each.role === role)?.accepted ?? 0);
  const [signals, trials] = [accepted("dig-log"), accepted("garden-log")];
  const from = [
    ...(signals > 0 ? [`${signals} signals of a dig log`] : []),
    ...(trials > 0 ? [`${trials} trials of a test garden`] : []),
  ];
  return `What ${from.join(" and ") || "the logs"} can tell, in ${parts} part${
    parts === 1 ? "" : "s"
  }, and how sure it is.`;
}

/** Whether the notebook's cell tagged `parameters` declares a name. */
function declares(notebook: Notebook, name: string): boolean {
  const cell = notebook.cells.find((each) => tagsOf(each).includes("parameters"));
  return new RegExp(`\\bconst ${name}\\b`).test(cell?.source ?? "");
}

function predictionsCsv(runs: readonly NotebookRun[]): string | null {
  const rows = runs.flatMap((run) => run.predictions);
  if (rows.length === 0) return null;
  return csvText([
    ["signal", "outcome", "fold", "model", "ferrous", "non_ferrous", "masked_good"],
    ...rows.map((row) => [
      row.signal,
      row.outcome,
      row.fold,
      row.model,
      ...[row.ferrous, row.nonFerrous, row.maskedGood].map(nineDigits),
    ]),
  ]);
}
