import type { VirtualFile } from "../virtual/mod.ts";
import { diskFault } from "../writeup/disk_fault.ts";

/** Writes files into a folder, piece by piece; what the disk refuses is told in plain words. */
export async function writeFiles(folder: string, files: Iterable<VirtualFile>): Promise<void> {
  const begun = new Set<string>();
  for (const { name, text } of files) {
    try {
      if (begun.size === 0) await Deno.mkdir(folder, { recursive: true });
      await Deno.writeTextFile(`${folder}/${name}`, text, { append: begun.has(name) });
    } catch (error) {
      throw diskFault(error, folder, { kept: false });
    }
    begun.add(name);
  }
}
