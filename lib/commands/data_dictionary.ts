import { dataDictionary } from "../log/mod.ts";
import { readCommandLine } from "./_command_line.ts";
import { root, runTask, say } from "./_run.ts";

await runTask(async (args) => {
  const line = readCommandLine("data-dictionary", args);
  const path = `${root}/datasets/DATA_DICTIONARY.md`;
  const text = dataDictionary();
  const now = await Deno.readTextFile(path).catch(() => "");
  if (line.switches.has("check")) {
    if (now === text) return 0;
    say("datasets/DATA_DICTIONARY.md is behind the schema: run `deno task data-dictionary`");
    return 3;
  }
  await Deno.writeTextFile(path, text);
  say(now === text ? "datasets/DATA_DICTIONARY.md was up to date." : "Wrote datasets/DATA_DICTIONARY.md.");
  return 0;
});
