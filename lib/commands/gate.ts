import { readCommandLine } from "./_command_line.ts";
import { root, runProgram, runTask, say } from "./_run.ts";

await runTask(async (args) => {
  const line = readCommandLine("gate", args);
  const deno = Deno.execPath();
  const steps: readonly (readonly [string, readonly string[]])[] = [
    ["format", ["fmt", "--quiet", ...(line.switches.has("write") ? [] : ["--check"])]],
    ["lint", ["lint", "--quiet"]],
    ["tests", ["run", "-A", "--no-lock", `${root}/lib/commands/test.ts`]],
  ];
  for (const [name, step] of steps) {
    const status = await runProgram(deno, step);
    if (status !== 0) {
      say(`The gate is shut: ${name} failed`);
      return status === 130 ? 130 : 1;
    }
  }
  say("The gate is open.");
  return 0;
});
