import { fittingReader, type LogFile, type ReadTableOptions } from "./read_table.ts";

type Role = NonNullable<LogFile["role"]>;

/** The table that a file or sheet is named after, or null. */
export function roleNamed(name: string): Role | null {
  const stem = name.replace(/^.*[/\\]/, "").replace(/\.[^.]*$/, "").trim().toLowerCase();
  const match = /^(signal|outing|find|trial)s?$/.exec(stem);
  return match === null ? null : `${match[1]}s` as Role;
}

const MACHINES = /(?:^|\/)machines\.json$/i;

const readOptionsFor = (file: LogFile, options: ReadTableOptions) => {
  const { format: _, ...rest } = options;
  return { ...rest, file: file.name };
};

/**
 * Gives the logs that a file holds: itself, but of a zip archive the logs in it, and of a workbook whose filled sheets are
 * all named after tables (signals, outings, finds, trials) each of those sheets.
 *
 * Throws FileFault as the readers of archives and workbooks do.
 *
 * @example
 * ```ts
 * import { expandLogFile } from "overiron";
 * const file = { name: "log.csv", bytes: new TextEncoder().encode("a\n1\n") };
 * const files = await expandLogFile(file);
 * if (files.length !== 1 || files[0] !== file) throw new Error("wrong");
 * ```
 */
export async function expandLogFile(
  file: LogFile,
  options: ReadTableOptions = {},
): Promise<readonly LogFile[]> {
  const { name } = fittingReader(file, options);
  if (name === "zip") {
    const { zippedFiles } = await import("./read_zip.ts");
    const inner = (await zippedFiles(file.bytes, readOptionsFor(file, options)))
      .filter((each) => !MACHINES.test(each.name));
    const { format: _, ...rest } = options;
    const expanded = await Promise.all(inner.map((each) => {
      const role = roleNamed(each.name);
      return expandLogFile(role === null ? each : { ...each, role }, rest);
    }));
    return expanded.flat();
  }
  if (name !== "xlsx" || file.sheet !== undefined || options.sheet !== undefined) return [file];
  const { filledSheets } = await import("./_workbook_scan.ts");
  const sheets = await filledSheets(file.bytes, readOptionsFor(file, options));
  const roles = sheets.map(roleNamed);
  if (sheets.length < 2 || roles.includes(null)) return [file];
  return sheets.map((sheet, i) => ({ ...file, name: `${file.name}/${sheet}`, sheet, role: roles[i]! }));
}

/**
 * Gives the file machines.json in a zip archive, or null where the file is no archive or has none.
 *
 * Throws FileFault as the reader of archives does.
 *
 * @example
 * ```ts
 * import { machinesInArchive } from "overiron";
 * const file = { name: "log.csv", bytes: new TextEncoder().encode("a\n1\n") };
 * if (await machinesInArchive(file) !== null) throw new Error("wrong");
 * ```
 */
export async function machinesInArchive(
  file: LogFile,
  options: ReadTableOptions = {},
): Promise<LogFile | null> {
  if (fittingReader(file, options).name !== "zip") return null;
  const { zippedFiles } = await import("./read_zip.ts");
  const files = await zippedFiles(file.bytes, readOptionsFor(file, options));
  return files.find((each) => MACHINES.test(each.name)) ?? null;
}
