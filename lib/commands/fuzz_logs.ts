import { CommandLineFault, readCommandLine, seedOf } from "./_command_line.ts";
import { root, runProgram, runTask } from "./_run.ts";

await runTask(async (args) => {
  const line = readCommandLine("fuzz-logs", args);
  const count = line.values.count ?? "100000";
  if (!/^[1-9]\d{0,7}$/.test(count)) {
    throw new CommandLineFault(`Cannot use --count: it must be a whole number above 0, got "${count}"`);
  }
  return await runProgram(Deno.execPath(), [
    "run",
    `--allow-read=${root}`,
    "--no-lock",
    `${root}/tests/log/fuzz.ts`,
    count,
    String(seedOf(line)),
  ]);
});
