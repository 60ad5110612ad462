import { fileURLToPath } from "node:url";
import { codeHash } from "./_code_hash.ts";
import { LIGHT_V8_FLAGS } from "./light_memory.ts";

/** How many libraries are kept: a checkout that is worked on makes one after each change. */
const MOST = 2;

/**
 * Gives the path of one script that holds all that `overiron` names, made of the sources once and kept in the project's
 * `.overiron/library`, with what the engine keeps of it once compiled: a kernel loads the two in a fraction of the time that the
 * hundreds of modules take, or one large module. See `libraryLoader`.
 *
 * Null where `deno.json` maps `overiron` to anything but `lib/mod.ts`, or where the folder cannot be written: then kernels load
 * the sources.
 */
export async function kernelLibrary(root: string): Promise<string | null> {
  try {
    const { imports } = JSON.parse(await Deno.readTextFile(`${root}/deno.json`));
    if (imports?.overiron !== "./lib/mod.ts") return null;
    const all = `${root}/.overiron/library`, folder = `${all}/${await codeHash(root)}`;
    if (!await isThere(folder)) {
      const part = `${folder}.${Deno.pid}.part`;
      await bundle(root, part);
      // Two runs at once make the same; the folder of the first stands.
      await Deno.rename(part, folder).catch(() => Deno.remove(part, { recursive: true }));
      await prune(all, folder);
    }
    return `${folder}/library.js`;
  } catch {
    return null;
  }
}

const isThere = (path: string): Promise<boolean> => Deno.stat(path).then(() => true, () => false);

/**
 * JavaScript for a kernel: a function that gives the library of a path that `kernelLibrary` gave. The engine leaves aside what was kept
 * of the compiled script where it comes from another version.
 */
export const libraryLoader = `(path) => {
  const { Script } = process.getBuiltinModule("node:vm"), { createRequire } = process.getBuiltinModule("node:module");
  const cachedData = Deno.readFileSync(path.replace(/js$/, "cache"));
  const script = new Script(Deno.readTextFileSync(path), { filename: path, cachedData });
  const exports = {};
  script.runInThisContext()(exports, createRequire(path), path);
  return exports;
}`;

async function bundle(root: string, folder: string): Promise<void> {
  await run(root, "_bundle_library.ts", [root, folder]);
  await run(root, "_compile_library.ts", [`${folder}/library.js`]);
}

/** A process of its own gives back all the memory that this takes. */
async function run(root: string, program: string, args: readonly string[]): Promise<void> {
  const { success } = await new Deno.Command(Deno.execPath(), {
    args: [
      "run",
      "--no-prompt",
      "--no-lock",
      `--allow-read=${root},/usr/bin/ldd`,
      `--allow-write=${root}/.overiron`,
      `--allow-ffi=${root}/node_modules/@rolldown`,
      "--allow-env",
      fileURLToPath(new URL(program, import.meta.url)),
      ...args,
    ],
    cwd: root,
    // What is kept of a compiled script holds under the same flags only.
    env: { DENO_V8_FLAGS: LIGHT_V8_FLAGS },
    stdin: "null",
    stdout: "null",
    stderr: "null",
  }).output();
  if (!success) throw new Error("The library could not be made into one file");
}

/** Removes all but the newest libraries, and what killed runs left. */
async function prune(all: string, made: string): Promise<void> {
  const folders = [...Deno.readDirSync(all)].map(({ name }) => `${all}/${name}`)
    .filter((path) => path !== made)
    .map((path) => ({ path, at: Number(Deno.statSync(path).mtime ?? 0) })).sort((a, b) => b.at - a.at);
  for (const { path } of folders.slice(MOST - 1)) await Deno.remove(path, { recursive: true });
}
