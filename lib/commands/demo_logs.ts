import { readCommandLine } from "./_command_line.ts";
import { root, runProgram, runTask } from "./_run.ts";

await runTask(async (args) => {
  const line = readCommandLine("demo-logs", args);
  const flags = line.switches.has("check") ? ["--check"] : [];
  return await runProgram(Deno.execPath(), [
    "run",
    `--allow-read=${root}`,
    `--allow-write=${root}/datasets`,
    "--no-lock",
    `${root}/datasets/make_demo.ts`,
    ...flags,
  ]);
});
