import { applySchema } from "./apply_schema.ts";
import { FileFault } from "./file_fault.ts";
import { loadDigLog, type LoadDigLogOptions } from "./load_dig_log.ts";
import { loadGardenLog } from "./load_garden_log.ts";
import { machineFinder } from "./_machine_of_row.ts";
import { type MachinesFile, parseMachines } from "./machines.ts";
import { outingSchema } from "./_outing_row.ts";
import { readLogFile } from "./read_log_file.ts";
import { type LogFile, readTable } from "./read_table.ts";
import type { PublishedReport } from "./report.ts";
import type { Garden, Season, Signal } from "./rows.ts";
import { asFieldName } from "./table.ts";

/** The data folder of a write-up, read back. */
export interface OpenedData {
  /** Null where the write-up has no dig log. */
  readonly season: Season | null;
  /** Null where it has no garden log. */
  readonly garden: Garden | null;
  readonly machines: MachinesFile;
  readonly report: PublishedReport;
}

/**
 * Under this name (a symbol of the global object) a runner may leave a function that gives the data of a folder as `openData` would,
 * where it has opened that folder already, and null for any other.
 */
export const OPENED_DATA = "overiron.opened";

/** The outcome columns must say what the facts give: a data folder that was edited by hand is found out. */
async function checkOutcomes(file: LogFile, signals: readonly Signal[]): Promise<void> {
  const table = await readTable(file);
  const column = (name: string): number =>
    table.headings.findIndex((heading) => asFieldName(heading) === name);
  const columns = [column("outcome_status"), column("outcome_class"), column("outcome_grade")];
  signals.forEach(({ outcome }, row) => {
    const derived = [outcome.status, outcome.class ?? "", outcome.grade ?? ""];
    columns.forEach((at, i) => {
      if (at < 0 || table.cell(row, at) === derived[i]) return;
      throw new FileFault(
        `Cannot open ${file.name}: outcomes must follow from the facts beside them, got ${
          JSON.stringify(table.cell(row, at))
        } where they give ${JSON.stringify(derived[i])} on line ${table.place(row, at).line}`,
        { file: file.name, line: table.place(row, at).line, column: table.headings[at]! },
      );
    });
  });
}

/**
 * Reads the data folder of a write-up back into typed rows, with the machines and the load report.
 *
 * Every notebook begins with it. The rows are those of `loadDigLog` and `loadGardenLog` without what is private: sites
 * are letters, dates are months, `kept_private` is absent. Outcomes are derived again with the repeat limits of the
 * report.
 *
 * Throws FileFault when the folder has no machines.json or load-report.json, or a file in it is not as it was written.
 *
 * @example
 * ```ts
 * import { FileFault, openData } from "overiron";
 * const fault = await openData("no-such-folder").catch((error) => error);
 * if (!(fault instanceof FileFault)) throw new Error("wrong");
 * ```
 */
export async function openData(folder: string | URL): Promise<OpenedData> {
  const opened = (globalThis as Record<symbol, unknown>)[Symbol.for(OPENED_DATA)];
  const given = typeof opened === "function" ? opened(folder) as OpenedData | null : null;
  if (given !== null) return given;
  const path = (name: string): string | URL =>
    typeof folder === "string"
      ? `${folder.replace(/[/\\]+$/, "")}/${name}`
      : new URL(name, folder.href.replace(/\/?$/, "/"));
  const maybe = async (name: string): Promise<LogFile | null> => {
    try {
      return await readLogFile(path(name));
    } catch (error) {
      if (error instanceof FileFault && error.message.endsWith("no such file")) return null;
      throw error;
    }
  };
  const text = async (name: string): Promise<string> =>
    new TextDecoder("utf-8", { fatal: true }).decode((await readLogFile(path(name))).bytes);
  const machines = parseMachines(await text("machines.json"));
  let report: PublishedReport;
  try {
    report = JSON.parse(await text("load-report.json"));
  } catch (error) {
    if (error instanceof FileFault) throw error;
    throw new FileFault("Cannot open load-report.json: it must be JSON, got something else", {
      file: "load-report.json",
    });
  }
  if (report.schema !== "overiron-load-report/1") {
    throw new FileFault(
      `Cannot open load-report.json: schema must be overiron-load-report/1, got ${
        JSON.stringify(report.schema)
      }`,
      {
        file: "load-report.json",
      },
    );
  }

  const [signalFile, findFile, outingFile, trialFile] = await Promise.all(
    ["signals.csv", "finds.csv", "outings.csv", "trials.csv"].map(maybe),
  );
  const said = (role: string): Pick<LoadDigLogOptions, "spacedX"> => {
    const spacedX = report.spacedX[role];
    return spacedX === undefined || spacedX === null ? {} : { spacedX };
  };
  let season: Season | null = null;
  if (signalFile !== null && signalFile !== undefined) {
    const options: LoadDigLogOptions = {
      guarded: true,
      strict: true,
      repeatNoise: report.repeatNoise,
      ...said("dig-log"),
    };
    const hasFinds = findFile !== null && findFile !== undefined && (await readTable(findFile)).rowCount > 0;
    const files: LogFile[] = [
      { ...signalFile, role: "signals" },
      ...(hasFinds ? [{ ...findFile, role: "finds" as const }] : []),
    ];
    const loaded = await loadDigLog(files, machines, options);
    const signals = loaded.season.signals.map(({ kept_private: _, ...signal }) => signal);
    await checkOutcomes(signalFile, signals);
    let outings = loaded.season.outings ?? [];
    if (outingFile !== null && outingFile !== undefined) {
      const schema = outingSchema(machineFinder(machines), said("dig-log"));
      outings = applySchema(await readTable(outingFile), schema, { guarded: true, strict: true }).rows;
    }
    season = { ...loaded.season, signals, outings };
  }
  const garden = trialFile === null || trialFile === undefined
    ? null
    : (await loadGardenLog(trialFile, machines, { guarded: true, strict: true, ...said("garden-log") }))
      .garden;
  return { season, garden, machines, report };
}
