import { FileFault } from "./file_fault.ts";
import { type LogFile, readTable, type ReadTableOptions } from "./read_table.ts";
import { type ReadOptions, refuseLargeFile, type Table } from "./table.ts";
import { zipMembers } from "./_zip_members.ts";

const READABLE = /\.(?:csv|tsv|tab|psv|txt|xlsx|xlsm|json|ndjson|jsonl|geojson|gpx)$/i;
/** What operating systems put into an archive by themselves. */
const CLUTTER = /(?:^|\/)(?:__MACOSX\/|\._|\.DS_Store$|Thumbs\.db$|desktop\.ini$)/i;

/**
 * Unpacks the logs in a zip archive, within limits. Files that are not logs by their name are passed over; archives in
 * archives are refused.
 *
 * Throws FileFault as `zipMembers` does, and where there is no log or an archive inside.
 */
export async function zippedFiles(bytes: Uint8Array, options: ReadOptions): Promise<readonly LogFile[]> {
  const { file, maxUnpackedBytes = 1 << 29, maxFileBytes = 1 << 29, maxArchiveFiles = 1000 } = options;
  refuseLargeFile(bytes.length, file, maxFileBytes);
  let inner: string | null = null;
  const members = await zipMembers(bytes, {
    file,
    maxUnpackedBytes,
    maxMembers: maxArchiveFiles,
    wanted(path) {
      if (CLUTTER.test(path)) return false;
      if (/\.(?:zip|gz|7z|rar|tar|tgz)$/i.test(path)) inner ??= path;
      return READABLE.test(path);
    },
  });
  if (inner !== null) {
    throw new FileFault(
      `Cannot read ${file}: an archive must hold logs, got the archive ${
        JSON.stringify(inner)
      } inside it; unpack it first`,
      { file },
    );
  }
  if (members.length === 0) {
    throw new FileFault(`Cannot read ${file}: an archive must hold a log, got none by its file names`, {
      file,
    });
  }
  return members.map(({ path, bytes }) => ({ name: `${file}/${path}`, bytes }));
}

/**
 * Reads a zip archive that holds one log, in any format but an archive, into a table.
 *
 * Throws FileFault as `zippedFiles` and the log's own reader do, and where the archive holds several logs.
 */
export async function readZip(bytes: Uint8Array, options: ReadOptions): Promise<Table> {
  const files = (await zippedFiles(bytes, options)).filter(({ name }) =>
    !/(?:^|\/)machines\.json$/i.test(name)
  );
  const [only, other] = files;
  if (only === undefined || other !== undefined) {
    const names = files.map(({ name }) => name.slice(options.file.length + 1)).join(", ");
    throw new FileFault(
      `Cannot read ${options.file}: an archive read as one table must hold one log, got ${names || "none"}`,
      { file: options.file },
    );
  }
  const { file: _, ...rest } = options;
  return await readTable(only, rest satisfies ReadTableOptions);
}
