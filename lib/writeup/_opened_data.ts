import { serialize } from "node:v8";
import { openData } from "../log/mod.ts";

/**
 * Opens the data folder of a write-up once for all its kernels: gives the path of a temporary file that holds what `openData` gives,
 * as the engine's own bytes. Null where the folder does not open; then each notebook meets the fault itself.
 */
export async function openedData(folder: string): Promise<string | null> {
  try {
    const bytes = serialize(await openData(`${folder}/data`));
    const path = await Deno.makeTempFile({ prefix: "overiron-opened-" });
    await Deno.writeFile(path, bytes);
    return path;
  } catch {
    return null;
  }
}
