import { csvText, type LoadReport, rejectedCsv } from "../log/mod.ts";
import type { KeyEntry } from "./_renamer.ts";
import { telling } from "./_telling.ts";

const PART = ".part";

/** Private files, written whole beside their places and not yet in them. */
export interface Aside {
  readonly rejected: number;
  /** Puts the files in their places. */
  commit(): Promise<void>;
  /** Removes what was written; the earlier files stay as they were. */
  discard(): Promise<void>;
}

/**
 * Rejected rows, whole, the key from published names to the log's own, and the report of what is published: private, so they
 * lie beside the write-up. They are written before the write-up takes its place and put in theirs after it, so that a
 * disk that fills up leaves the earlier write-up with its own key.
 */
export async function setAside(
  folder: string,
  reports: readonly LoadReport[],
  key: readonly KeyEntry[],
  listing: string,
): Promise<Aside> {
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
    { name: "what-is-published.txt", text: listing },
  ];
  /** Removes files of this folder by their names; anybody else's stay. */
  const remove = async (names: RegExp): Promise<void> => {
    for await (const { name } of Deno.readDir(folder)) {
      if (names.test(name)) await Deno.remove(`${folder}/${name}`);
    }
  };
  const discard = (): Promise<void> => remove(/\.part$/).catch(() => {});
  try {
    await telling(folder, "open", async () => {
      await Deno.mkdir(folder, { recursive: true });
      await remove(/\.part$/);
      for (const { name, text } of files) {
        await Deno.writeTextFile(`${folder}/${name}${PART}`, text, { mode: 0o600 });
      }
    });
  } catch (error) {
    await discard();
    throw error;
  }
  const commit = (): Promise<void> =>
    telling(folder, "finish", async () => {
      await remove(/^rejected-.*\.csv$/);
      for (const { name } of files) await Deno.rename(`${folder}/${name}${PART}`, `${folder}/${name}`);
    });
  return { rejected: rejected.length, commit, discard };
}
