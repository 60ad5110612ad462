import type { VirtualFile } from "../virtual/mod.ts";
import { CommandLineFault } from "./_command_line.ts";

/** Writes files into a folder, piece by piece; a folder that cannot be written is a fault of the command line. */
export async function writeFiles(folder: string, files: Iterable<VirtualFile>): Promise<void> {
  const begun = new Set<string>();
  for (const { name, text } of files) {
    try {
      if (begun.size === 0) await Deno.mkdir(folder, { recursive: true });
      await Deno.writeTextFile(`${folder}/${name}`, text, { append: begun.has(name) });
    } catch (error) {
      throw new CommandLineFault(`Cannot write to ${folder}: ${(error as Error).message}`);
    }
    begun.add(name);
  }
}
