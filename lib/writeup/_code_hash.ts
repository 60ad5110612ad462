import { sha256 } from "./provenance.ts";

/**
 * One hash over all that says what a notebook gets from the project: `lib/`, `shared/`, `deno.json` and the lock file, with the
 * versions of Deno and V8.
 */
export async function codeHash(root: string): Promise<string> {
  const lines: string[] = [Deno.version.deno, Deno.version.v8, Deno.build.target];
  for (
    const file of ["package-lock.json", "deno.json", ...sources(root, "lib"), ...sources(root, "shared")]
  ) {
    const bytes = await Deno.readFile(`${root}/${file}`).catch(() => null);
    lines.push(`${file} ${bytes === null ? "none" : sha256(bytes)}`);
  }
  return sha256(lines.join("\n"));
}

/** Files of a folder of the project, by relative path, sorted. */
function sources(root: string, folder: string): string[] {
  const found: string[] = [];
  try {
    for (const entry of Deno.readDirSync(`${root}/${folder}`)) {
      const path = `${folder}/${entry.name}`;
      if (entry.isDirectory) found.push(...sources(root, path));
      else found.push(path);
    }
  } catch {
    // A folder that is not there has no files.
  }
  return found.sort();
}
