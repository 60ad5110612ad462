import { readCommandLine } from "./_command_line.ts";
import { root, runProgram, runTask } from "./_run.ts";

await runTask((args) => {
  readCommandLine("long-outing", args);
  const vitest = `${root}/node_modules/vitest/vitest.mjs`;
  return runProgram(Deno.execPath(), ["run", "-A", vitest, "run", "tests/outside/phone_outing"], {
    OVERIRON_OUTING: "60",
  });
});
