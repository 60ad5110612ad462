import { basename } from "node:path";
import { z } from "zod";
import { assemble } from "./_assemble.ts";
import { alike, compareCells, type ComparedCell } from "./compare_cells.ts";
import { type CodeCell, type Notebook, readNotebook } from "./notebook.ts";
import { type Provenance, provenance, sha256 } from "./provenance.ts";
import type { NotebookFailure, Progress } from "./run_notebook.ts";
import { seasonParametersSchema } from "./season_parameters.ts";
import { notebookHash, strippedNotebook } from "./stripped_notebook.ts";

/** A folder that cannot be run again, for a reason its reader can see to. */
export class WriteUpFault extends Error {
  override readonly name = "WriteUpFault";
  readonly status = 1;
}

/** A notebook that is none of this checkout's, and the code in it that this checkout does not have. */
export interface ForeignNotebook {
  readonly name: string;
  readonly codeCells: number;
  /** Cells whose code is in no notebook of this checkout. */
  readonly newCells: readonly { readonly cell: number; readonly cellId: string; readonly source: string }[];
}

/** A fault of the files, found before anything is run. */
export interface FileDifference {
  readonly path: string;
  readonly difference: string;
}

/** What running a write-up again gave. */
export interface RerunReport {
  readonly schema: "overiron-rerun/1";
  /** "same" where nothing differs beyond the tolerance. */
  readonly verdict: "same" | "different";
  /** Files whose bytes are not those that were recorded, files missing and files too many. */
  readonly hashes: readonly FileDifference[];
  readonly cells: readonly ComparedCell[];
  /** The other files, made again: equal, equal within tolerance, or different. */
  readonly files: readonly {
    readonly path: string;
    readonly verdict: "equal" | "within-tolerance" | "different";
  }[];
  readonly failures: readonly (NotebookFailure & { readonly notebook: string })[];
  /** Versions that are not those of the first run: a reason for small differences. */
  readonly versions: readonly { readonly name: string; readonly was: string; readonly is: string }[];
}

export interface RerunOptions {
  /** The project's root. */
  readonly root: string;
  /** How far two numbers may be apart, as a share of the larger. Default 1e-6. */
  readonly tolerance?: number;
  /** Asked before a notebook runs that is not one of this checkout's. Without it such a notebook is refused. */
  readonly allow?: (foreign: readonly ForeignNotebook[]) => boolean | Promise<boolean>;
  readonly onProgress?: (progress: Progress) => void;
}

const text = z.string();
const recorded = z.looseObject({
  schema: z.literal("overiron-provenance/1"),
  inputs: z.array(
    z.looseObject({ role: text, sha256: text, bytes: z.number(), counts: z.record(text, z.number()) }),
  ),
  notebooks: z.array(z.looseObject({ name: z.string().regex(/^[A-Za-z0-9][\w.-]*$/), sha256: text })),
  seed: z.number().int().nonnegative(),
  command: text,
  versions: z.record(text, text),
  rows: z.array(z.record(text, z.union([text, z.number()]))),
  parameters: seasonParametersSchema.optional(),
  page: z.looseObject({ title: text }),
  files: z.record(text, text),
});

const SAFE_PATH = /^[A-Za-z0-9][\w.-]*(\/[A-Za-z0-9][\w.-]*)?$/;

/**
 * Runs a write-up again from its own data and notebooks, and compares what comes out with what lies in it.
 *
 * First the hash of every file is held against the one recorded, and the data against their package. Then the notebooks run in
 * a copy of the folder, one fresh kernel each, and everything is made once more and compared: cell by cell, and file by file.
 * The write-up is never written to. A notebook whose code is not that of a notebook of this checkout is another person's
 * program: it runs only where `allow` says so.
 *
 * Throws WriteUpFault for a folder that is no write-up, files that cannot be read or reach outside, and foreign notebooks
 * not allowed.
 */
export async function rerunWriteUp(folder: string, options: RerunOptions): Promise<RerunReport> {
  const { root, tolerance = 1e-6, allow, onProgress } = options;
  const made = await readProvenance(folder);
  const held = await filesIn(folder);
  const hashes = [...checkHashes(held, made), ...checkPackage(held)];
  const notebooks = made.notebooks.map(({ name }) => {
    const bytes = held.get(`notebooks/${name}.ipynb`);
    if (bytes === undefined) {
      throw new WriteUpFault(`Cannot run ${folder} again: it must hold notebooks/${name}.ipynb, got none`);
    }
    try {
      return { name, executed: readNotebook(new TextDecoder().decode(bytes)) };
    } catch (error) {
      throw new WriteUpFault(
        `Cannot run ${folder} again: notebooks/${name}.ipynb: ${(error as Error).message}`,
      );
    }
  });
  const foreign = await foreignOnes(notebooks, root);
  if (foreign.length > 0 && !await allow?.(foreign)) {
    throw new WriteUpFault(
      `Cannot run ${folder} again: these notebooks are not this checkout's and nobody allowed them: ${
        foreign.map(({ name }) => name).join(", ")
      }`,
    );
  }
  const room = await Deno.makeTempDir({ prefix: "overiron-rerun-" });
  try {
    for (const name of ["data", "notebooks"]) await Deno.mkdir(`${room}/${name}`);
    for (const [path, bytes] of held) {
      if (path.startsWith("data/")) await Deno.writeFile(`${room}/${path}`, bytes);
    }
    const again = await assemble({
      root,
      folder: room,
      notebooks: notebooks.map(({ name, executed }) => ({
        name,
        notebook: strippedNotebook(executed),
        fromSources: true,
      })),
      inputs: made.inputs,
      rows: made.rows!,
      seed: made.seed,
      parameters: made.parameters ?? {},
      command: made.command,
      page: made.page!,
      cached: false,
      onProgress,
    });
    const cells = notebooks.flatMap(({ name, executed }) =>
      compareCells(name, executed, readNotebook(again.files.get(`notebooks/${name}.ipynb`)!), { tolerance })
    );
    // The versions of another day are told by themselves; the record of hashes follows from the files.
    const files = [...again.files].filter(([path]) => path !== "provenance.json").map(([path, text]) => {
      const bytes = held.get(path);
      const before = bytes === undefined ? null : new TextDecoder().decode(bytes);
      const verdict = before === text
        ? "equal" as const
        : before !== null && alike(before, text, tolerance)
        ? "within-tolerance" as const
        : "different" as const;
      return { path, verdict };
    });
    const failures = again.runs.flatMap((run) =>
      run.failure === null ? [] : [{ notebook: run.name, ...run.failure }]
    );
    const versions = await otherVersions(made, root);
    // A page and a crate name versions: where only these differ, the page is compared by its cells and its numbers alone.
    const counts = (path: string): boolean =>
      versions.length === 0 || /^(results\.json|predictions\.csv)$/.test(path);
    const same = hashes.length === 0 && failures.length === 0 &&
      cells.every(({ verdict }) => verdict === "equal" || verdict === "within-tolerance") &&
      files.every(({ path, verdict }) => verdict !== "different" || !counts(path));
    return {
      schema: "overiron-rerun/1",
      verdict: same ? "same" : "different",
      hashes,
      cells,
      files,
      failures,
      versions,
    };
  } finally {
    await Deno.remove(room, { recursive: true });
  }
}

async function readProvenance(folder: string): Promise<Provenance> {
  let json: unknown;
  try {
    json = JSON.parse(await Deno.readTextFile(`${folder}/provenance.json`));
  } catch (error) {
    throw new WriteUpFault(
      `Cannot run ${folder} again: it must be a write-up with a file provenance.json (${
        (error as Error).message
      })`,
    );
  }
  const parsed = recorded.safeParse(json);
  if (parsed.success) return parsed.data as unknown as Provenance;
  const { path, message } = parsed.error.issues[0]!;
  throw new WriteUpFault(`Cannot run ${folder} again: provenance.json, at ${path.join(".")}: ${message}`);
}

/** Every file of the folder, two levels deep as a write-up is. A link is refused: it may lead anywhere. */
async function filesIn(folder: string): Promise<Map<string, Uint8Array>> {
  const found = new Map<string, Uint8Array>();
  const walk = async (under: string): Promise<void> => {
    for await (const entry of Deno.readDir(`${folder}/${under}`)) {
      const path = `${under}${entry.name}`;
      if (entry.isSymlink || !(SAFE_PATH.test(path))) {
        throw new WriteUpFault(`Cannot run ${folder} again: it must hold plain files alone, got ${path}`);
      }
      if (entry.isDirectory) await walk(`${path}/`);
      else found.set(path, await Deno.readFile(`${folder}/${path}`));
    }
  };
  await walk("");
  return new Map([...found].sort(([a], [b]) => a < b ? -1 : 1));
}

function checkHashes(held: ReadonlyMap<string, Uint8Array>, made: Provenance): FileDifference[] {
  const wanted = made.files!;
  const faults: FileDifference[] = [];
  for (const path of Object.keys(wanted).sort()) {
    const bytes = held.get(path);
    if (bytes === undefined) faults.push({ path, difference: "missing" });
    else if (sha256(bytes) !== wanted[path]) {
      faults.push({ path, difference: "not the bytes that were recorded" });
    }
  }
  for (const path of held.keys()) {
    if (wanted[path] === undefined && path !== "provenance.json") {
      faults.push({ path, difference: "not recorded" });
    }
  }
  return faults;
}

/** Holds the data against what their own package says of them. */
function checkPackage(held: ReadonlyMap<string, Uint8Array>): FileDifference[] {
  const path = "data/datapackage.json";
  let resources: { path?: unknown; hash?: unknown }[];
  try {
    resources = JSON.parse(new TextDecoder().decode(held.get(path))).resources;
    if (!Array.isArray(resources)) throw new TypeError("it lists no resources");
  } catch (error) {
    return [{ path, difference: `no package can be read from it: ${(error as Error).message}` }];
  }
  return resources.flatMap(({ path: name, hash }) => {
    const bytes = held.get(`data/${name}`);
    if (bytes === undefined) return [{ path: `data/${name}`, difference: "listed in the package, missing" }];
    return hash === `sha256:${sha256(bytes)}`
      ? []
      : [{ path: `data/${name}`, difference: "not the bytes that the package names" }];
  });
}

/** Notebooks whose code is not that of any notebook of this checkout. */
async function foreignOnes(
  notebooks: readonly { readonly name: string; readonly executed: Notebook }[],
  root: string,
): Promise<ForeignNotebook[]> {
  const hashes = new Set<string>(), sources = new Set<string>();
  for await (const { name } of Deno.readDir(`${root}/notebooks`)) {
    if (!name.endsWith(".ipynb")) continue;
    const ours = readNotebook(await Deno.readTextFile(`${root}/notebooks/${basename(name)}`));
    hashes.add(notebookHash(ours));
    for (const cell of ours.cells) if (cell.cell_type === "code") sources.add(cell.source);
  }
  return notebooks.filter(({ executed }) => !hashes.has(notebookHash(executed))).map(({ name, executed }) => {
    const code = strippedNotebook(executed).cells.filter((cell): cell is CodeCell =>
      cell.cell_type === "code"
    );
    return {
      name,
      codeCells: code.length,
      newCells: code.flatMap((cell, i) =>
        sources.has(cell.source) ? [] : [{ cell: i + 1, cellId: cell.id, source: cell.source }]
      ),
    };
  });
}

async function otherVersions(made: Provenance, root: string): Promise<RerunReport["versions"]> {
  const { versions } = provenance({
    inputs: [],
    notebooks: [],
    seed: made.seed,
    command: "deno task rerun",
    packageJson: await Deno.readTextFile(`${root}/package.json`),
    packageLock: await Deno.readTextFile(`${root}/package-lock.json`),
  });
  return [...new Set([...Object.keys(made.versions), ...Object.keys(versions)])].sort()
    .filter((name) => made.versions[name] !== versions[name])
    .map((name) => ({ name, was: made.versions[name] ?? "none", is: versions[name] ?? "none" }));
}
