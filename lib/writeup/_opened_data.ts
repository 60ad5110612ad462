import { serialize } from "node:v8";
import { openData } from "../log/mod.ts";

/**
 * Opens the data folder of a write-up once for all its kernels: gives the path of a file beside it that holds what `openData` gives,
 * as the engine's own bytes, to be removed once they have run; the next run removes it where this one is killed. Null where the
 * folder does not open; then each notebook meets the fault itself.
 */
export async function openedData(folder: string): Promise<string | null> {
  const path = `${folder}/opened`;
  try {
    await Deno.writeFile(path, serialize(await openData(`${folder}/data`)));
    return path;
  } catch {
    await Deno.remove(path).catch(() => {});
    return null;
  }
}
