import { dirname } from "node:path";
import {
  type ColumnMapping,
  type DigLog,
  FileFault,
  type GardenLog,
  loadDigLog,
  loadGardenLog,
  type LogFile,
  type MachinesFile,
  machinesInArchive,
  parseMachines,
  parseMapping,
  readLogFile,
} from "../log/mod.ts";
import type { ReadingOptions } from "./_reading_options.ts";

/** The files a person named, from where they stand; undefined where they named none. */
export interface LogPaths {
  readonly digLog?: string | undefined;
  readonly gardenLog?: string | undefined;
  /** Without it, the file machines.json beside the first log, where there is one. */
  readonly machines?: string | undefined;
  /** Mapping files of foreign logs, one for the dig log and one for the garden log at most. */
  readonly columns?: readonly string[] | undefined;
}

/** The logs, loaded, with the bytes they were loaded from. */
export interface Logs {
  readonly digLog: DigLog | null;
  readonly gardenLog: GardenLog | null;
  readonly machines: MachinesFile;
  /** By role, in the order in which provenance names them. */
  readonly inputs: readonly { readonly role: string; readonly bytes: Uint8Array }[];
}

const tables = ["signals", "outings", "finds"] as const;
const endings = ["csv", "tsv", "xlsx", "json", "ndjson", "jsonl", "geojson", "gpx"] as const;

/** What logs are read with. */
export interface ReadLogsOptions {
  /** A row that breaks a rule stops the task. */
  readonly strict: boolean;
  /** How files are read; found out where nothing is said. */
  readonly reading?: ReadingOptions;
}

/** A dig log is a file, or a folder with the tables as files of their own, in any format. */
export async function digLogFiles(path: string, reading: ReadingOptions = {}): Promise<LogFile[]> {
  const found = await Deno.stat(path).catch(() => null);
  const isLink = (await Deno.lstat(path).catch(() => null))?.isSymlink === true;
  // readLogFile has the words for a link that may not be followed.
  if (!found?.isDirectory || (isLink && reading.followLinks !== true)) {
    return [await readLogFile(path, reading)];
  }
  const files: LogFile[] = [];
  for (const role of tables) {
    const here: string[] = [];
    for (const ending of endings) {
      const file = `${path}/${role}.${ending}`;
      if (await Deno.lstat(file).catch(() => null)) here.push(file);
    }
    if (here.length > 1) {
      throw new FileFault(
        `Cannot read ${path}: a folder must hold each table once, got ${
          here.map((file) => file.slice(path.length + 1)).join(", ")
        }`,
        { file: path },
      );
    }
    if (here[0] !== undefined) files.push({ ...await readLogFile(here[0], reading), role });
  }
  if (files.length > 0) return files;
  throw new FileFault(
    `Cannot read ${path}: a folder must hold signals.csv (or .${endings.slice(1).join(", .")}), got none of ${
      tables.join(", ")
    }`,
    { file: path },
  );
}

/** The machines file named, or the one beside the log or in its archive; null where there is none. */
export async function readMachines(
  named: string | undefined,
  log: string,
  reading: ReadingOptions = {},
): Promise<{ readonly file: LogFile; readonly machines: MachinesFile } | null> {
  const path = named ?? await machinesBeside(log);
  // The limits are for logs.
  const { followLinks = false } = reading;
  let file = path === null ? null : await readLogFile(path, { followLinks });
  const isFolder = (await Deno.stat(log).catch(() => null))?.isDirectory === true;
  if (file === null && !isFolder) file = await machinesInArchive(await readLogFile(log, reading), reading);
  return file === null ? null : { file, machines: parseMachines(decode(file), file.name) };
}

/** What stands for a machines file that was neither named nor found. */
export const NO_MACHINES: MachinesFile = { schema: "overiron-machines/1", machines: [], settings: [] };

/** Reads and loads the logs. Throws FileFault, which ends a task with status 1, before anything has been written. */
export async function readLogs(paths: LogPaths, options: ReadLogsOptions): Promise<Logs> {
  const { strict, reading = {} } = options;
  const { followLinks: _, ...tableOptions } = reading;
  const load = { ...tableOptions, strict };
  const mappings = await readMappings(paths, reading);
  const found = await readMachines(paths.machines, paths.digLog ?? paths.gardenLog!, reading);
  const machines = found?.machines ?? NO_MACHINES;
  const inputs: { role: string; bytes: Uint8Array }[] = [];
  let digLog: DigLog | null = null, gardenLog: GardenLog | null = null;
  if (paths.digLog !== undefined) {
    const files = await digLogFiles(paths.digLog, reading);
    const { dig } = mappings;
    digLog = await loadDigLog(files, machines, {
      ...load,
      ...(dig === undefined ? {} : { columns: dig.mapping }),
    });
    for (const { role, bytes } of files) inputs.push({ role: role ? `dig-log-${role}` : "dig-log", bytes });
    if (dig !== undefined) inputs.push({ role: "dig-log-columns", bytes: dig.bytes });
  }
  if (paths.gardenLog !== undefined) {
    const file = await readLogFile(paths.gardenLog, reading);
    const { garden } = mappings;
    gardenLog = await loadGardenLog(file, machines, {
      ...load,
      ...(garden === undefined ? {} : { columns: garden.mapping }),
    });
    inputs.push({ role: "garden-log", bytes: file.bytes });
    if (garden !== undefined) inputs.push({ role: "garden-log-columns", bytes: garden.bytes });
  }
  if (found !== null) inputs.push({ role: "machines", bytes: found.file.bytes });
  return { digLog, gardenLog, machines, inputs };
}

interface Mappings {
  readonly dig?: { readonly mapping: ColumnMapping; readonly bytes: Uint8Array };
  readonly garden?: { readonly mapping: ColumnMapping; readonly bytes: Uint8Array };
}

/** A mapping file is for the log whose table it names. */
async function readMappings(paths: LogPaths, reading: ReadingOptions): Promise<Mappings> {
  const found: { -readonly [Key in keyof Mappings]: Mappings[Key] } = {};
  for (const path of paths.columns ?? []) {
    const { mapping, file } = await readMapping(path, reading);
    const kind = mapping.table === "trials" ? "garden" : "dig";
    const log = kind === "garden" ? paths.gardenLog : paths.digLog;
    const what = kind === "garden" ? "garden log" : "dig log";
    if (log === undefined || found[kind] !== undefined) {
      throw new FileFault(
        `Cannot use ${file.name}: it is a mapping for a ${what}, got ${
          log === undefined ? "no such log" : "another for it"
        }`,
        { file: file.name },
      );
    }
    found[kind] = { mapping, bytes: file.bytes };
  }
  return found;
}

/** Reads one mapping file. The limits are for logs. */
export async function readMapping(
  path: string,
  { followLinks = false }: ReadingOptions = {},
): Promise<{ readonly mapping: ColumnMapping; readonly file: LogFile }> {
  const file = await readLogFile(path, { followLinks });
  return { mapping: parseMapping(decode(file), file.name), file };
}

async function machinesBeside(log: string): Promise<string | null> {
  const isFolder = (await Deno.stat(log).catch(() => null))?.isDirectory === true;
  const path = `${isFolder ? log : dirname(log)}/machines.json`;
  return await Deno.stat(path).catch(() => null) === null ? null : path;
}

function decode(file: LogFile): string {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(file.bytes);
  } catch {
    throw new FileFault(`Cannot read ${file.name}: it must be UTF-8 text`, { file: file.name });
  }
}
