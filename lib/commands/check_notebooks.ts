import { checkNotebooks, findingText } from "../writeup/mod.ts";
import { CommandLineFault, fromHere, readCommandLine } from "./_command_line.ts";
import { root, runTask, say } from "./_run.ts";

await runTask(async (args) => {
  const line = readCommandLine("check-notebooks", args);
  const folder = line.files[0] === undefined ? `${root}/notebooks` : fromHere(line.files[0]);
  const found = await Deno.stat(folder).catch(() => null);
  if (found?.isDirectory !== true) {
    throw new CommandLineFault(`Cannot check notebooks: ${folder} must be a folder that can be read`);
  }
  const findings = await checkNotebooks(folder, { root });
  if (line.switches.has("json")) console.log(JSON.stringify(findings, null, 2));
  else for (const each of findings) console.log(findingText(each));
  say(findings.length === 0 ? "The notebooks are in order." : `${findings.length} findings.`);
  return findings.length === 0 ? 0 : 3;
});
