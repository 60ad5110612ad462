import { recordedMediaType } from "../figures/mod.ts";
import {
  csvText,
  type DigLog,
  type GardenLog,
  type LoadReport,
  type MachinesFile,
  rejectedCsv,
} from "../log/mod.ts";
import { headlineIds } from "./headline_ids.ts";
import { type Headline, headline } from "./headline.ts";
import { type Notebook, readNotebook, tagsOf, writeNotebook } from "./notebook.ts";
import { provenance } from "./provenance.ts";
import { publishData, type PublishedData } from "./publish_data.ts";
import { renderPage } from "./render_page.ts";
import { type NotebookFailure, type NotebookRun, type Progress } from "./run_notebook.ts";
import { runNotebooks } from "./run_notebooks.ts";
import { OutputFault, stageFolder } from "./swap_folder.ts";
import { nineDigits, writeResults } from "./write_results.ts";

/** What a write-up is made from: the loaded logs, and the bytes they were loaded from, by role. */
export interface WriteUpLogs {
  readonly digLog: DigLog | null;
  readonly gardenLog: GardenLog | null;
  readonly machines: MachinesFile;
  readonly inputs: readonly { readonly role: string; readonly bytes: Uint8Array }[];
}

/** Options of {@link makeWriteUp}. */
export interface MakeWriteUpOptions {
  /** The project's root: its notebooks are run, its `deno.json` says what `overiron` is. */
  readonly root: string;
  /** The folder of the write-up; what is set aside goes to a folder of the same name with `.rejected` at its end. */
  readonly out: string;
  readonly seed: number;
  readonly title: string;
  /** The command by the roles of its files, for the record. */
  readonly command: string;
  /** The logs are the invented ones: notebooks about invented objects join the write-up. Default false. */
  readonly demo?: boolean;
  /** What a reader must know first, a sentence each. Default: none. */
  readonly notices?: readonly string[];
  /** Told what will be published and what is held back, a sentence each, before a notebook runs. */
  readonly onListing?: (listing: readonly string[]) => void;
  readonly onProgress?: (progress: Progress) => void;
}

/** What was made. */
export interface WriteUp {
  /** Where it lies: `out`, or `out` with `.failed` at its end when a notebook failed. */
  readonly folder: string;
  readonly headlines: readonly Headline[];
  readonly failures: readonly (NotebookFailure & { readonly notebook: string })[];
  readonly leftOut: readonly { readonly title: string; readonly reason: string }[];
  /** How many rows were set aside, and the private folder that holds them. */
  readonly setAside: { readonly rejected: number; readonly folder: string };
}

interface Job {
  readonly name: string;
  readonly text: string;
  readonly notebook: Notebook;
}

const logNames = { "dig-log": "a dig log", "garden-log": "a garden log" } as const;

/** The notebooks of the project, in order, and those whose logs are missing. */
async function chooseNotebooks(
  root: string,
  logs: WriteUpLogs,
  demo: boolean,
): Promise<{ jobs: Job[]; leftOut: WriteUp["leftOut"] }> {
  const folder = `${root}/notebooks`;
  const names = [...Deno.readDirSync(folder)].map((entry) => entry.name).filter((name) =>
    name.endsWith(".ipynb")
  ).sort();
  const jobs: Job[] = [], leftOut: { title: string; reason: string }[] = [];
  for (const file of names) {
    const name = file.replace(/\.ipynb$/, "");
    const text = await Deno.readTextFile(`${folder}/${file}`);
    const notebook = readNotebook(text);
    const { needs = [] } = (notebook.metadata.overiron ?? {}) as {
      needs?: readonly (keyof typeof logNames)[];
    };
    const missing = needs.filter((need) =>
      need === "dig-log" ? logs.digLog === null : logs.gardenLog === null
    );
    if (missing.length === 0) jobs.push({ name, text, notebook });
    else {leftOut.push({
        title: titleOf(notebook) ?? name,
        reason: `it needs ${missing.map((need) => logNames[need]).join(" and ")}`,
      });}
  }
  return { jobs, leftOut };
}

/** Whether the notebook's cell tagged `parameters` declares a name. */
function declares(notebook: Notebook, name: string): boolean {
  const cell = notebook.cells.find((each) => tagsOf(each).includes("parameters"));
  const source = Array.isArray(cell?.source) ? cell.source.join("") : cell?.source ?? "";
  return new RegExp(`\\bconst ${name}\\b`).test(source);
}

function titleOf(notebook: Notebook): string | undefined {
  const source = notebook.cells.find((cell) => cell.cell_type === "markdown")?.source;
  const text = Array.isArray(source) ? source.join("") : source;
  return text === undefined ? undefined : /^#\s+(.+)$/m.exec(text as string)?.[1];
}

/** Rejected rows, whole, and the key from published names to the log's own: private, so beside the write-up. */
async function setAside(
  folder: string,
  reports: readonly LoadReport[],
  { key, listing }: PublishedData,
): Promise<number> {
  const rejected = reports.flatMap((report) => report.rejected);
  const files = [
    ...rejectedCsv(rejected),
    {
      name: "published-ids.csv",
      text: csvText([
        ["kind", "in_your_log", "in_the_write_up"],
        ...key.map(({ kind, was, now }) => [kind, was, now]),
      ]),
    },
    { name: "what-is-published.txt", text: `${listing.join("\n")}\n` },
  ];
  try {
    await Deno.mkdir(folder, { recursive: true });
    for await (const { name } of Deno.readDir(folder)) {
      if (/^rejected-.*\.csv$/.test(name)) await Deno.remove(`${folder}/${name}`);
    }
    for (const { name, text } of files) await Deno.writeTextFile(`${folder}/${name}`, text);
  } catch (error) {
    throw new OutputFault(`Cannot write to ${folder}: ${(error as Error).message}`, "input", {
      cause: error,
    });
  }
  return rejected.length;
}

function inputCounts(
  report: LoadReport,
): { role: string; rows: number; accepted: number; rejected: number; blank: number; planned: number }[] {
  return report.accounts.map(({ role, rows, accepted, rejected, blank, planned }) => ({
    role,
    rows,
    accepted,
    rejected,
    blank,
    planned,
  }));
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

/** Predictions are a file of their own: the executed notebook keeps only what its reader sees of them. */
function withoutPredictions(notebook: Notebook): Notebook {
  const cells = notebook.cells.map((cell) => {
    if (cell.cell_type !== "code") return cell;
    const outputs = cell.outputs.map((output) => {
      const data = "data" in output ? output.data as Record<string, unknown> : undefined;
      const recorded = data?.[recordedMediaType] as { predictions?: unknown } | undefined;
      if (!data || !recorded?.predictions) return output;
      const { predictions: _, ...rest } = recorded;
      return { ...output, data: { ...data, [recordedMediaType]: rest } };
    });
    return { ...cell, outputs } as typeof cell;
  });
  return { ...notebook, cells };
}

/**
 * Turns loaded logs into a write-up: publishes the data without what is private, runs the notebooks on that data alone, and
 * puts page, results, notebooks and provenance beside it.
 *
 * The folder is filled beside `out` and takes its place in one step, so an earlier write-up stays whole whatever happens. When a notebook
 * fails, what could be made goes to `out.failed` and `out` stays as it was. A notebook whose log is missing is left out
 * and named. Throws OutputFault where the folder cannot be written.
 */
export async function makeWriteUp(logs: WriteUpLogs, options: MakeWriteUpOptions): Promise<WriteUp> {
  const { root, seed, title, command, demo = false, notices = [], onListing, onProgress } = options;
  const { digLog, gardenLog, machines } = logs;
  const reports = [digLog, gardenLog].flatMap((log) => log === null ? [] : [log.report]);
  if (reports.length === 0) {
    throw new RangeError("Cannot make a write-up: need a dig log or a garden log, got none");
  }
  const staged = await stageFolder(options.out);
  try {
    const { jobs, leftOut } = await chooseNotebooks(root, logs, demo);
    const data = publishData({ digLog, gardenLog, machines }, { seed });
    onListing?.(data.listing);
    for (const name of ["data", "notebooks"]) await Deno.mkdir(`${staged.folder}/${name}`);
    for (const { name, text } of data.files) await Deno.writeTextFile(`${staged.folder}/data/${name}`, text);

    const runs = await runNotebooks(jobs.map(({ name, notebook }) => ({
      notebook,
      options: {
        name,
        cwd: `${root}/notebooks`,
        workingFolder: `${staged.folder}/notebooks`,
        parameters: {
          ...(declares(notebook, "data") ? { data: "../data" } : {}),
          ...(declares(notebook, "seed") ? { seed } : {}),
        },
        seed,
        hide: [{ path: staged.folder, name: "write-up" }, { path: root, name: "overiron" }],
        ...(onProgress ? { onProgress } : {}),
      },
    })));
    const executed = runs.map((run) => withoutPredictions(run.executed));
    const results = runs.flatMap((run) => run.results);
    const shown = headlineIds.flatMap(({ id, label }) => {
      const found = results.find((result) => result.id === id && "value" in result) ??
        results.find((result) => result.id === id);
      return found ? [{ id, headline: headline(found, label) }] : [];
    });
    const made = provenance({
      inputs: logs.inputs,
      notebooks: jobs,
      seed,
      command,
      packageJson: await Deno.readTextFile(`${root}/package.json`),
      packageLock: await Deno.readTextFile(`${root}/package-lock.json`),
    });
    const failures = runs.flatMap((run) =>
      run.failure === null ? [] : [{ notebook: run.name, ...run.failure }]
    );
    const predictions = predictionsCsv(runs);
    const files: readonly (readonly [string, string | null])[] = [
      [
        "results.json",
        writeResults({
          seed,
          inputs: reports.flatMap(inputCounts),
          headline: shown.map(({ id }) => id),
          results,
          tables: runs.flatMap((run) => run.tables),
        }),
      ],
      ["predictions.csv", predictions],
      ...executed.map((notebook, i) =>
        [`notebooks/${runs[i]!.name}.ipynb`, writeNotebook(notebook)] as const
      ),
      [
        "index.html",
        renderPage({
          title,
          notices,
          headlines: shown.map((each) => each.headline),
          notebooks: runs.map((run, i) => ({ name: run.name, executed: executed[i]!, failure: run.failure })),
          leftOut,
          provenance: made,
          downloads: [
            {
              href: "results.json",
              label: "results.json",
              note: "every number of the text, with interval and counts",
            },
            ...(predictions === null ? [] : [{
              href: "predictions.csv",
              label: "predictions.csv",
              note: "what each model said of each signal it had not learnt from",
            }]),
            ...data.files.map(({ name }) => ({ href: `data/${name}`, label: `data/${name}` })),
            ...runs.map(({ name }) => ({
              href: `notebooks/${name}.ipynb`,
              label: `notebooks/${name}.ipynb`,
            })),
            { href: "provenance.json", label: "provenance.json", note: "inputs, versions, seed and command" },
          ],
        }),
      ],
      ["provenance.json", `${JSON.stringify(made, null, 2)}\n`],
    ];
    for (const [name, text] of files) {
      if (text !== null) await Deno.writeTextFile(`${staged.folder}/${name}`, text);
    }

    const aside = `${options.out}${failures.length > 0 ? ".failed" : ""}.rejected`;
    const rejected = await setAside(aside, reports, data);
    let folder = options.out;
    if (failures.length > 0) folder = await staged.fail();
    else await staged.commit();
    return {
      folder,
      headlines: shown.map((each) => each.headline),
      failures,
      leftOut,
      setAside: { rejected, folder: aside },
    };
  } catch (error) {
    await staged.discard().catch(() => {});
    throw error;
  }
}
