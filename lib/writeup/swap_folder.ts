import { dirname, resolve } from "node:path";
import { telling } from "./_telling.ts";
import { OutputFault } from "./output_fault.ts";

export { OutputFault };

/** A folder being filled, to take the place of a write-up when it is whole. */
export interface StagedFolder {
  /** Where to write. */
  readonly folder: string;
  /** Puts the folder in the place of the write-up. The older one is kept until this is done. */
  commit(): Promise<void>;
  /** Puts the folder beside the write-up, which stays as it was, and gives the place. */
  fail(): Promise<string>;
  /** Removes the folder; the write-up stays as it was. */
  discard(): Promise<void>;
}

/** A file by which a write-up's folder is known for one. */
const MARK = "provenance.json";

/**
 * Opens a new folder to be filled, which then takes the place of the folder `out` in one step.
 *
 * Beside `out` lie, while at work: `out.staged` (being filled), `out.ready` (whole, about to be swapped in), `out.before`
 * (the older one) and `out.lock`. A swap that was cut is completed or undone here, so that after any end of an earlier run
 * `out` is a whole write-up again, or was never there. A failed run goes to `out.failed`, which the next good one removes.
 *
 * Throws OutputFault: of kind `input` where the folder cannot be written, holds something that is no write-up (nothing of
 * anybody else's is ever removed), or another run is at work on it; of kind `ours` where the disk fails.
 *
 * @example
 * ```ts
 * import { stageFolder } from "./mod.ts";
 * const place = await Deno.makeTempDir();
 * const staged = await stageFolder(`${place}/write-up`);
 * await Deno.writeTextFile(`${staged.folder}/provenance.json`, "{}");
 * await staged.commit();
 * if (await Deno.readTextFile(`${place}/write-up/provenance.json`) !== "{}") throw new Error("not there");
 * await Deno.remove(place, { recursive: true });
 * ```
 */
export async function stageFolder(out: string): Promise<StagedFolder> {
  const place = await telling(out, "resolve", async () => {
    const whole = resolve(out);
    return await exists(whole) ? await Deno.realPath(whole) : whole;
  });
  if (dirname(place) === place) {
    throw new OutputFault(`Cannot write to ${out}: it is the root of the disk`, "input");
  }
  const [staged, ready, before, failed] = ["staged", "ready", "before", "failed"].map((end) =>
    `${place}.${end}`
  ) as [
    string,
    string,
    string,
    string,
  ];
  await telling(
    out,
    "open",
    () =>
      // A task may write to its place and beside it, not to the folder around it: that is there, or is one it may make.
      Deno.mkdir(dirname(place), { recursive: true }).catch((error) => {
        if (!(error instanceof Deno.errors.NotCapable)) throw error;
      }),
  );
  const unlock = await lock(`${place}.lock`, out);
  try {
    await recover();
    for (const folder of [place, failed]) {
      if (!await isOurs(folder)) {
        throw new OutputFault(
          `Cannot write to ${out}: ${folder} holds something that is no write-up, choose another folder`,
          "input",
        );
      }
    }
    await telling(out, "open", () => Deno.mkdir(staged));
  } catch (error) {
    await unlock();
    throw error;
  }
  let open = true;
  const close = async (work: () => Promise<void>): Promise<void> => {
    if (!open) throw new OutputFault(`Cannot finish ${out}: it was finished before`, "ours");
    open = false;
    try {
      await telling(out, "finish", work);
    } finally {
      await unlock();
    }
  };
  return {
    folder: staged,
    commit: () =>
      close(async () => {
        await Deno.rename(staged, ready);
        await swapIn();
        // What an earlier run left half done is answered now.
        await remove(failed);
      }),
    fail: async () => {
      await close(async () => {
        await remove(failed);
        await Deno.rename(staged, failed);
      });
      return failed;
    },
    discard: () => close(() => remove(staged)),
  };

  async function swapIn(): Promise<void> {
    if (await exists(place)) {
      await remove(before);
      await Deno.rename(place, before);
    }
    await Deno.rename(ready, place);
    await remove(before);
  }

  async function recover(): Promise<void> {
    await telling(out, "open", async () => {
      if (await exists(ready)) await swapIn();
      else if (await exists(before)) {
        if (await exists(place)) await remove(before);
        else await Deno.rename(before, place);
      }
      await remove(staged);
    });
  }
}

async function exists(path: string): Promise<boolean> {
  try {
    await Deno.lstat(path);
    return true;
  } catch (error) {
    if (error instanceof Deno.errors.NotFound) return false;
    throw error;
  }
}

async function remove(path: string): Promise<void> {
  if (await exists(path)) await Deno.remove(path, { recursive: true });
}

/** Whether a folder may be replaced: it is not there, is empty, or is a write-up. */
async function isOurs(folder: string): Promise<boolean> {
  if (!await exists(folder)) return true;
  if (!(await Deno.stat(folder)).isDirectory) return false;
  const names: string[] = [];
  for await (const { name } of Deno.readDir(folder)) names.push(name);
  return names.length === 0 || names.includes(MARK);
}

/** Takes a lock that the system gives back by itself when this process ends, however it ends. */
async function lock(path: string, out: string): Promise<() => Promise<void>> {
  const file = await telling(out, "open", () => Deno.open(path, { create: true, write: true, read: true }));
  let taken = false;
  try {
    taken = await file.tryLock(true);
    // A run that ended just now may have removed the file this one still holds open.
    if (taken) taken = (await file.stat()).ino === (await Deno.stat(path)).ino;
  } catch (error) {
    file.close();
    throw new OutputFault(`Cannot lock ${out}: ${error instanceof Error ? error.message : error}`, "ours");
  }
  if (!taken) {
    file.close();
    throw new OutputFault(
      `Cannot write to ${out}: another run is at work on it, wait until it has ended`,
      "input",
    );
  }
  return async () => {
    await Deno.remove(path).catch(() => {});
    file.close();
  };
}
