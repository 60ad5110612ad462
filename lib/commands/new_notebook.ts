import { dirname } from "node:path";
import { writeNotebook } from "../writeup/notebook.ts";
import { notebookTemplate } from "../writeup/notebook_template.ts";
import { CommandLineFault, readCommandLine } from "./_command_line.ts";
import { root, runTask, say } from "./_run.ts";
import { outFolder, writeOut } from "./_write_out.ts";

await runTask(async (args) => {
  const line = readCommandLine("new-notebook", args);
  const [name] = line.files;
  if (name === undefined || !/^[A-Za-z0-9][\w-]*$/.test(name)) {
    throw new CommandLineFault(
      `Cannot begin a notebook: its name must be of letters, digits, - and _, got ${
        name === undefined ? "none" : `"${name}"`
      }`,
    );
  }
  // Inside the project, so that a kernel started beside it finds the library.
  const path = `${root}/own-notebooks/${name}.ipynb`;
  if (await Deno.lstat(path).catch(() => null) !== null) {
    throw new CommandLineFault(`Cannot begin a notebook: ${path} is there already`);
  }
  await outFolder(dirname(path));
  const begun = writeNotebook(notebookTemplate(name.replaceAll(/[-_]+/g, " ")));
  await writeOut({ [path]: begun }, { fresh: true });
  console.log(path);
  say(
    `It reads the data of your last write-up (deno task season YOUR_LOG makes them in write-ups/season).\n` +
      `See it while you write:     deno task watch ${name}\n` +
      `Put it into the write-up:   deno task season YOUR_LOG --with own-notebooks/${name}.ipynb`,
  );
  return 0;
});
