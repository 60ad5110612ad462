import { readCommandLine } from "./_command_line.ts";
import { root, runProgram, runTask } from "./_run.ts";

await runTask(async (args) => {
  const line = readCommandLine("bench", args);
  return await runProgram(Deno.execPath(), [
    "bench",
    "-A",
    "--no-lock",
    ...(line.files[0] ? [`--filter=${line.files[0]}`] : []),
    `${root}/bench/`,
  ]);
});
