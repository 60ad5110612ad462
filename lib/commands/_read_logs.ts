import { dirname } from "node:path";
import {
  type DigLog,
  FileFault,
  type GardenLog,
  loadDigLog,
  loadGardenLog,
  type LogFile,
  type MachinesFile,
  parseMachines,
  readLogFile,
} from "../log/mod.ts";

/** The files a person named, from where they stand; undefined where they named none. */
export interface LogPaths {
  readonly digLog?: string | undefined;
  readonly gardenLog?: string | undefined;
  /** Without it, the file machines.json beside the first log, where there is one. */
  readonly machines?: string | undefined;
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

/** A dig log is a file, or a folder with the tables as files of their own. */
async function digLogFiles(path: string): Promise<LogFile[]> {
  const found = await Deno.stat(path).catch(() => null);
  if (!found?.isDirectory) return [await readLogFile(path)];
  const files: LogFile[] = [];
  for (const role of tables) {
    const file = `${path}/${role}.csv`;
    if (await Deno.stat(file).catch(() => null)) files.push({ ...await readLogFile(file), role });
  }
  if (files.length > 0) return files;
  throw new FileFault(
    `Cannot read ${path}: a folder must hold signals.csv, got none of ${
      tables.map((name) => `${name}.csv`).join(", ")
    }`,
    {
      file: path,
    },
  );
}

/** Reads and loads the logs. Throws FileFault, which ends a task with status 1, before anything has been written. */
export async function readLogs(paths: LogPaths, options: { readonly strict: boolean }): Promise<Logs> {
  const machinesPath = paths.machines ?? await machinesBeside(paths.digLog ?? paths.gardenLog!);
  const machinesFile = machinesPath === null ? null : await readLogFile(machinesPath);
  const machines: MachinesFile = machinesFile === null
    ? { schema: "overiron-machines/1", machines: [], settings: [] }
    : parseMachines(decode(machinesFile), machinesFile.name);
  const inputs: { role: string; bytes: Uint8Array }[] = [];
  let digLog: DigLog | null = null, gardenLog: GardenLog | null = null;
  if (paths.digLog !== undefined) {
    const files = await digLogFiles(paths.digLog);
    digLog = await loadDigLog(files, machines, options);
    for (const { role, bytes } of files) inputs.push({ role: role ? `dig-log-${role}` : "dig-log", bytes });
  }
  if (paths.gardenLog !== undefined) {
    const file = await readLogFile(paths.gardenLog);
    gardenLog = await loadGardenLog(file, machines, options);
    inputs.push({ role: "garden-log", bytes: file.bytes });
  }
  if (machinesFile !== null) inputs.push({ role: "machines", bytes: machinesFile.bytes });
  return { digLog, gardenLog, machines, inputs };
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
