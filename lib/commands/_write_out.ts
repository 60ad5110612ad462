import { diskFault } from "../writeup/disk_fault.ts";

/** Files that a task makes, by their paths. */
export type OutFiles = Readonly<Record<string, string | Uint8Array>>;

/**
 * Writes the files that a task makes: all of them, or none, with what stood in their places as it was. With `fresh` they must
 * be new; nothing is ever written over then.
 *
 * Throws OutputFault: of kind `input` where another place would do, of kind `ours` where the disk is full or fails.
 */
export async function writeOut(
  files: OutFiles,
  { fresh = false }: { readonly fresh?: boolean } = {},
): Promise<void> {
  const before = new Map<string, Uint8Array | null>();
  for (const [path, content] of Object.entries(files)) {
    try {
      // A task may write to these very paths and to none beside them, so no other file can be made ready and renamed.
      const there = fresh ? null : await statOf(path);
      const old = there?.isFile ? await Deno.readFile(path) : null;
      using file = await Deno.open(path, {
        write: true,
        ...(fresh ? { createNew: true } : { create: true, truncate: true }),
      });
      // A device or a pipe holds nothing that could be put back.
      if (there === null || there.isFile) before.set(path, old);
      const bytes = typeof content === "string" ? new TextEncoder().encode(content) : content;
      for (let at = 0; at < bytes.length;) at += await file.write(bytes.subarray(at));
    } catch (error) {
      const kept = await putBack(before).then(() => true, () => false);
      throw diskFault(error, path, { kept });
    }
  }
}

/** What stands at a path; null where nothing does. */
async function statOf(path: string): Promise<Deno.FileInfo | null> {
  return await Deno.stat(path).catch((error) => {
    if (error instanceof Deno.errors.NotFound) return null;
    throw error;
  });
}

async function putBack(before: ReadonlyMap<string, Uint8Array | null>): Promise<void> {
  for (const [path, old] of before) {
    if (old === null) await Deno.remove(path);
    else await Deno.writeFile(path, old);
  }
}

/** Makes the folder of a task's files where it is not there. Throws OutputFault as `writeOut` does. */
export async function outFolder(folder: string): Promise<void> {
  await Deno.mkdir(folder, { recursive: true }).catch((error) => {
    throw diskFault(error, folder);
  });
}
