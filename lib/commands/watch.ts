import { basename, dirname, resolve } from "node:path";
import { liveNotebook, type Notebook, provenance, readNotebook, renderPage, tagsOf } from "../writeup/mod.ts";
import { CommandLineFault, fromHere, readCommandLine, seedOf } from "./_command_line.ts";
import { isNotebookPath } from "./_files_beside.ts";
import { root, runTask, say } from "./_run.ts";
import { watchServer } from "./_watch_server.ts";

await runTask(async (args) => {
  const line = readCommandLine("watch", args);
  const seed = seedOf(line);
  const path = await notebookPath(line.files[0]);
  const data = await dataFolder(line.values.data);
  const port = Number(line.values.port ?? "0");
  if (!Number.isInteger(port) || port < 0 || port > 65535) {
    throw new CommandLineFault(
      `Cannot use --port: it must be a whole number up to 65535, got "${line.values.port}"`,
    );
  }
  const name = basename(path).replace(/\.ipynb$/, "");
  const parameters = (notebook: Notebook): Record<string, string | number> => {
    const source = notebook.cells.find((cell) => tagsOf(cell).includes("parameters"))?.source ?? "";
    return {
      ...(/\bconst data\b/.test(source) ? { data } : {}),
      ...(/\bconst seed\b/.test(source) ? { seed } : {}),
    };
  };
  let notebook = await read(path);
  const live = liveNotebook({ name, cwd: dirname(path), parameters: parameters(notebook), seed });
  const server = watchServer(port);
  const made = provenance({
    inputs: [],
    notebooks: [],
    seed,
    command: "deno task watch NOTEBOOK",
    packageJson: await Deno.readTextFile(`${root}/package.json`),
    packageLock: await Deno.readTextFile(`${root}/package-lock.json`),
  });
  const update = async (restart: boolean): Promise<void> => {
    const started = performance.now();
    const { run, ranCells } = await live.update(notebook, { restart });
    server.show(renderPage({
      title: name,
      kicker: "Being written",
      headlines: [],
      notebooks: [{ name, executed: run.executed, failure: run.failure }],
      provenance: made,
      downloads: [],
    }));
    const seconds = ((performance.now() - started) / 1000).toFixed(1);
    const failed = run.failure === null
      ? ""
      : `; cell ${run.failure.cell}${
        run.failure.line === null ? "" : `, line ${run.failure.line}`
      }: ${run.failure.message}`;
    say(`${ranCells} cells run in ${seconds} s${failed}`);
  };
  const watcher = Deno.watchFs([dirname(path), `${root}/lib`]);
  const ends = () => watcher.close();
  Deno.addSignalListener("SIGINT", ends);
  if (Deno.build.os !== "windows") Deno.addSignalListener("SIGTERM", ends);
  console.log(server.address);
  try {
    await update(false);
    let changed = { notebook: false, library: false };
    let timer: ReturnType<typeof setTimeout> | undefined;
    let work: Promise<void> = Promise.resolve();
    // An editor writes a file in several steps: what happens within a tenth of a second is one change.
    for await (const { paths, kind } of watcher) {
      if (kind === "access") continue;
      if (paths.some((each) => each === path)) changed.notebook = true;
      if (paths.some((each) => each.startsWith(`${root}/lib/`) && each.endsWith(".ts"))) {
        changed.library = true;
      }
      if (!changed.notebook && !changed.library) continue;
      clearTimeout(timer);
      timer = setTimeout(() => {
        const { library } = changed;
        changed = { notebook: false, library: false };
        work = work.then(async () => {
          try {
            const now = await read(path);
            const same = !library && JSON.stringify(codeOf(now)) === JSON.stringify(codeOf(notebook));
            notebook = now;
            say(
              library
                ? "The library has changed: everything runs again."
                : same
                ? "The text has changed."
                : "The notebook has changed.",
            );
            await update(library);
          } catch (error) {
            // Half a file, or a kernel that would not start: the next change tries again.
            say((error as Error).message);
          }
        });
      }, 100);
    }
    clearTimeout(timer);
    await work;
  } finally {
    await live.stop();
    await server.stop();
  }
  return 130;
});

function codeOf(notebook: Notebook): string[] {
  return notebook.cells.filter((cell) => cell.cell_type === "code").map((cell) => cell.source);
}

async function read(path: string): Promise<Notebook> {
  try {
    return readNotebook(await Deno.readTextFile(path));
  } catch (error) {
    throw new CommandLineFault(`Cannot watch ${path}: ${(error as Error).message}`);
  }
}

async function notebookPath(named: string | undefined): Promise<string> {
  if (named === undefined) throw new CommandLineFault("Cannot watch: name a notebook");
  const places = isNotebookPath(named)
    ? [fromHere(named)]
    : ["own-notebooks", "notebooks"].map((folder) => `${root}/${folder}/${named}.ipynb`);
  for (const place of places) {
    if ((await Deno.stat(place).catch(() => null))?.isFile) return await Deno.realPath(place);
  }
  throw new CommandLineFault(`Cannot watch: no notebook ${places.join(" and no ")}`);
}

async function dataFolder(named: string | undefined): Promise<string> {
  const places = named === undefined
    ? ["season", "demo"].map((each) => `${root}/write-ups/${each}/data`)
    : [fromHere(named)];
  for (const place of places) {
    if ((await Deno.stat(`${place}/datapackage.json`).catch(() => null))?.isFile) return resolve(place);
  }
  throw new CommandLineFault(
    `Cannot watch: it needs a data folder of a write-up, got none at ${
      places.join(" or ")
    }; deno task season makes one`,
  );
}
