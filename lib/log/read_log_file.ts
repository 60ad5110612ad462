import { readFile } from "node:fs/promises";
import { basename } from "node:path";
import { FileFault } from "./file_fault.ts";
import type { LogFile } from "./read_table.ts";

/**
 * Reads a file of a log from disk, whole, for the loaders. The file is only ever read.
 *
 * Throws FileFault when there is no such file, or it cannot be read.
 *
 * @example
 * ```ts
 * import { FileFault, readLogFile } from "overiron";
 * const fault = await readLogFile("no-such-log.csv").catch((error) => error);
 * if (!(fault instanceof FileFault)) throw new Error("wrong");
 * ```
 */
export async function readLogFile(path: string | URL): Promise<LogFile> {
  const shown = typeof path === "string" ? path : decodeURIComponent(path.pathname);
  const name = basename(shown);
  try {
    return { name, bytes: new Uint8Array(await readFile(path)) };
  } catch (error) {
    const { code } = error as { code?: string };
    const got = code === "ENOENT"
      ? "no such file"
      : code === "EISDIR"
      ? "a folder"
      : code === "EACCES"
      ? "no leave to read it"
      : String(code ?? error);
    throw new FileFault(`Cannot read ${shown}: it must be a file that can be read, got ${got}`, {
      file: name,
    });
  }
}
