import { lstat, readFile, stat } from "node:fs/promises";
import { basename } from "node:path";
import { FileFault } from "./file_fault.ts";
import type { LogFile } from "./read_table.ts";
import { refuseLargeFile } from "./table.ts";

export interface ReadLogFileOptions {
  /** The largest file allowed, in bytes; a larger one is not read at all. Default 512 MiB. */
  readonly maxFileBytes?: number;
  /** Whether a symbolic link is followed. Default false: a log is the file that it is named. */
  readonly followLinks?: boolean;
}

/**
 * Reads a file of a log from disk, whole, for the loaders. The file is only ever read.
 *
 * Throws FileFault when there is no such file, it cannot be read, is a symbolic link, a folder or a device, or is larger
 * than allowed or than 2 GiB, the most that is read in one piece.
 *
 * @example
 * ```ts
 * import { FileFault, readLogFile } from "overiron";
 * const fault = await readLogFile("no-such-log.csv").catch((error) => error);
 * if (!(fault instanceof FileFault)) throw new Error("wrong");
 * ```
 */
export async function readLogFile(path: string | URL, options: ReadLogFileOptions = {}): Promise<LogFile> {
  const { maxFileBytes = 1 << 29, followLinks = false } = options;
  const shown = typeof path === "string" ? path : decodeURIComponent(path.pathname);
  const name = basename(shown);
  const refuse = (rule: string, got: string): never => {
    throw new FileFault(`Cannot read ${shown}: it must be ${rule}, got ${got}`, { file: name });
  };
  try {
    if (!followLinks && (await lstat(path)).isSymbolicLink()) {
      refuse("the file itself", "a symbolic link; name the file that it leads to, or give --follow-links");
    }
    const found = await stat(path);
    if (found.isDirectory()) refuse("a file that can be read", "a folder");
    if (!found.isFile()) refuse("a file that can be read", "a device, pipe or socket");
    refuseLargeFile(found.size, name, maxFileBytes);
    return { name, bytes: new Uint8Array(await readFile(path)) };
  } catch (error) {
    if (error instanceof FileFault) throw error;
    const { code } = error as { code?: string };
    if (code === "ERR_FS_FILE_TOO_LARGE") {
      refuse("smaller than 2147483648 bytes, the most that is read in one piece", "more; split it");
    }
    const got = code === "ENOENT"
      ? "no such file"
      : code === "EISDIR"
      ? "a folder"
      : code === "EACCES"
      ? "no leave to read it"
      : String(code ?? error);
    return refuse("a file that can be read", got);
  }
}
