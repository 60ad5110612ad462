import type { LoadReport } from "../log/mod.ts";
import { assemble } from "./_assemble.ts";
import { planWriteUp, type PlanWriteUpOptions, type WriteUpLogs } from "./_plan_write_up.ts";
import { type Aside, setAside } from "./_set_aside.ts";
import { telling } from "./_telling.ts";
import type { Leak } from "./find_leaks.ts";
import type { Headline } from "./headline.ts";
import { type ProvenanceInput, sha256 } from "./provenance.ts";
import type { PublishedData } from "./publish_data.ts";
import type { NotebookFailure, Progress } from "./run_notebook.ts";
import type { SeasonParameters } from "./season_parameters.ts";
import { stageFolder } from "./swap_folder.ts";

export type { PlanWriteUpOptions, WriteUpLogs };

/** Options of {@link makeWriteUp}. */
export interface MakeWriteUpOptions extends PlanWriteUpOptions {
  /** The folder of the write-up; what is set aside goes to a folder of the same name with `.rejected` at its end. */
  readonly out: string;
  /** What the person set for the notebooks that declare it. Default: everything as the notebooks declare it. */
  readonly parameters?: SeasonParameters;
  /** What a reader must know first, a sentence each. Default: none. */
  readonly notices?: readonly string[];
  /** Whether notebooks that ran before on the same data, code and seed may be taken from the cache. Default true. */
  readonly cached?: boolean;
  /** Told what will be published, what is held back and what to look at again, a sentence each, before a notebook runs. */
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
  /** Notebooks taken from an earlier run of the same code on the same data. */
  readonly reused: readonly string[];
  /** Bytes of each file of the folder, by relative path. */
  readonly sizes: Readonly<Record<string, number>>;
  /** How many rows were set aside, and the private folder that holds them. */
  readonly setAside: { readonly rejected: number; readonly folder: string };
  /** Texts shown as they were written that may give a place, a person or a day away: to be looked at again. */
  readonly leaks: readonly Leak[];
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

/**
 * Turns loaded logs into a write-up: publishes the data without what is private, runs the notebooks on that data alone, and
 * puts page, results, notebooks and provenance beside it.
 *
 * The folder is filled beside `out` and takes its place in one step, so an earlier write-up stays whole whatever happens. When a notebook
 * fails, what could be made goes to `out.failed` and `out` stays as it was. A notebook whose log is missing is left out
 * and named. Throws OutputFault where the folder cannot be written or the disk is full; the earlier write-up and what
 * lies beside it stay as they were.
 */
export async function makeWriteUp(logs: WriteUpLogs, options: MakeWriteUpOptions): Promise<WriteUp> {
  const { root, seed, title, command, author, date, notices = [], cached = true, onListing, onProgress } =
    options;
  const reports = [logs.digLog, logs.gardenLog].flatMap((log) => log === null ? [] : [log.report]);
  const plan = await planWriteUp(logs, options);
  const { jobs, leftOut, data } = plan;
  onListing?.(plan.report().summary);
  const staged = await stageFolder(options.out);
  const write = (work: () => Promise<void>): Promise<void> => telling(options.out, "open", work);
  let set: Aside | null = null;
  try {
    await write(async () => {
      for (const name of ["data", "notebooks"]) await Deno.mkdir(`${staged.folder}/${name}`);
      for (const { name, text } of data.files) {
        await Deno.writeTextFile(`${staged.folder}/data/${name}`, text);
      }
    });

    const rows = reports.flatMap(inputCounts);
    const { files, runs, headlines, reused } = await assemble({
      root,
      folder: staged.folder,
      notebooks: jobs.map(({ own, ...job }) => ({ ...job, fromSources: own })),
      inputs: logs.inputs.map((input) => inputOf(input, rows)),
      rows,
      seed,
      parameters: options.parameters ?? {},
      command,
      page: {
        title,
        ...(author === undefined ? {} : { author }),
        ...(date === undefined ? {} : { date }),
        ...lastMonth(data),
        notices,
        leftOut,
      },
      cached,
      onProgress,
    });
    await write(async () => {
      for (const [name, text] of files) await Deno.writeTextFile(`${staged.folder}/${name}`, text);
    });
    const failures = runs.flatMap((run) =>
      run.failure === null ? [] : [{ notebook: run.name, ...run.failure }]
    );

    const aside = `${options.out}${failures.length > 0 ? ".failed" : ""}.rejected`;
    // What a person's own notebook shows is known only now.
    const report = plan.report((name) => files.get(`notebooks/${name}.ipynb`) ?? "");
    set = await setAside(aside, reports, data.key, report.text);
    let folder = options.out;
    if (failures.length > 0) folder = await staged.fail();
    else await staged.commit();
    await set.commit();
    const size = (text: string): number => new TextEncoder().encode(text).length;
    return {
      folder,
      headlines,
      failures,
      leftOut,
      reused,
      sizes: Object.fromEntries([
        ...data.files.map(({ name, text }) => [`data/${name}`, size(text)]),
        ...[...files].map(([name, text]) => [name, size(text)]),
      ]),
      setAside: { rejected: set.rejected, folder: aside },
      leaks: report.leaks,
    };
  } catch (error) {
    await set?.discard();
    await staged.discard().catch(() => {});
    throw error;
  }
}

/** A file that went in, with its hash and what became of its rows. */
function inputOf(
  { role, bytes }: WriteUpLogs["inputs"][number],
  rows: ReturnType<typeof inputCounts>,
): ProvenanceInput {
  const account = rows.find((each) => role === each.role || role === `dig-log-${each.role}`) ??
    (role === "dig-log-signals" ? rows.find((each) => each.role === "dig-log") : undefined);
  const { role: _, ...counts } = account ?? { role };
  return { role, sha256: sha256(bytes), bytes: bytes.length, counts };
}

/** The last month that the published data name. */
function lastMonth({ files }: PublishedData): { dataUntil?: string } {
  const months = files.filter(({ name }) => name.endsWith(".csv")).flatMap(({ text }) =>
    text.match(/(?<=,)(?:19|20)\d\d-(?:0[1-9]|1[0-2])(?=,)/g) ?? []
  ).sort();
  const last = months.at(-1);
  return last === undefined ? {} : { dataUntil: last };
}
