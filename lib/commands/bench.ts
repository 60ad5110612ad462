import { readCommandLine } from "./_command_line.ts";
import { root, runProgram, runTask } from "./_run.ts";

const FOLDER = `${root}/tests/bench`;

/** The files whose names begin with what was asked for; a filter of single benches over all files where there is none. */
function chosen(name: string | undefined): string[] {
  if (name === undefined) return [FOLDER];
  const start = name.replaceAll("-", "_");
  const files = [...Deno.readDirSync(FOLDER)].map((entry) => entry.name)
    .filter((file) => file.endsWith(".bench.ts") && file.startsWith(start)).sort();
  return files.length > 0 ? files.map((file) => `${FOLDER}/${file}`) : [`--filter=${name}`, FOLDER];
}

await runTask(async (args) => {
  const line = readCommandLine("bench", args);
  return await runProgram(Deno.execPath(), ["bench", "-A", "--no-lock", ...chosen(line.files[0])]);
});
