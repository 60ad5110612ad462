import type { DigLog, GardenLog, MachinesFile } from "../log/mod.ts";
import { chooseNotebooks, type Job } from "./_choose_notebooks.ts";
import { type LeakReport, leakReport } from "./leak_report.ts";
import { writeNotebook } from "./notebook.ts";
import { publishData, type PublishedData } from "./publish_data.ts";

/** What a write-up is made from: the loaded logs, and the bytes they were loaded from, by role. */
export interface WriteUpLogs {
  readonly digLog: DigLog | null;
  readonly gardenLog: GardenLog | null;
  readonly machines: MachinesFile;
  readonly inputs: readonly { readonly role: string; readonly bytes: Uint8Array }[];
}

/** What decides on what a write-up shows. */
export interface PlanWriteUpOptions {
  /** The project's root: its notebooks are run, its `deno.json` says what `overiron` is. */
  readonly root: string;
  readonly seed: number;
  readonly title: string;
  /** The command by the roles of its files, for the record. */
  readonly command: string;
  /** Who signs, under a name of their choice. Default: nobody. */
  readonly author?: string;
  /** The day of publishing, YYYY-MM-DD. Default: none, since no clock enters a write-up. */
  readonly date?: string;
  /** Width in kilometres of cells in which sites are shown to lie; see `publishData`. Default: none. */
  readonly coarseCellsKm?: number;
  /** Paths of notebooks of the person's own, which join after the project's. Default: none. */
  readonly ownNotebooks?: readonly string[];
}

/** A write-up before anything of it is run or written. */
export interface WriteUpPlan {
  readonly jobs: readonly Job[];
  readonly leftOut: readonly { readonly title: string; readonly reason: string }[];
  readonly data: PublishedData;
  /** Tells what is published; `textOf` gives the text of a notebook of the person's own, by its name. Default: as it is now. */
  report(textOf?: (name: string) => string): LeakReport;
}

/** Chooses the notebooks and publishes the data, in memory. Throws as `makeWriteUp` does. */
export async function planWriteUp(logs: WriteUpLogs, options: PlanWriteUpOptions): Promise<WriteUpPlan> {
  const { seed, title, command, author, date, coarseCellsKm } = options;
  const { digLog, gardenLog, machines } = logs;
  if (digLog === null && gardenLog === null) {
    throw new RangeError("Cannot make a write-up: need a dig log or a garden log, got none");
  }
  const { jobs, leftOut } = await chooseNotebooks(options, logs);
  const dated = date === undefined ? {} : { date };
  const data = publishData({ digLog, gardenLog, machines }, {
    seed,
    ...dated,
    ...(coarseCellsKm === undefined ? {} : { coarseCellsKm }),
  });
  return {
    jobs,
    leftOut,
    data,
    report: (textOf) =>
      leakReport({
        ...{ digLog, gardenLog, machines, data, title, command, ...dated },
        ...(author === undefined ? {} : { author }),
        roles: logs.inputs.map(({ role }) => role),
        ownNotebooks: jobs.filter((job) => job.own).map(({ name, notebook }) => ({
          name,
          text: textOf?.(name) ?? writeNotebook(notebook),
        })),
      }),
  };
}
