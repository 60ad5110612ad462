import { parseFieldRules } from "../decide/mod.ts";
import { parseMachines, readLogFile } from "../log/mod.ts";
import { phonePage } from "../writeup/phone_page.ts";
import { CommandLineFault, fromHere, inTheirWords, readCommandLine } from "./_command_line.ts";
import { worthsOf } from "./_model_options.ts";
import { root, runTask, say } from "./_run.ts";
import { outFolder, writeOut } from "./_write_out.ts";

const textOf = async (path: string): Promise<string> =>
  new TextDecoder().decode((await readLogFile(fromHere(path), {})).bytes);

await runTask(async (args) => {
  const line = readCommandLine("phone-page", args);
  const { model, machines: named, out } = line.values;
  const rules = model === undefined
    ? undefined
    : await inTheirWords(async () => parseFieldRules(await textOf(model), model));
  // Without a machines file, the machines that the rules were learnt with; without both, the demo's.
  const machines = named !== undefined
    ? parseMachines(await textOf(named), named)
    : rules?.machines ?? parseMachines(await Deno.readTextFile(`${root}/datasets/demo/machines.json`));
  if (named === undefined && rules === undefined) {
    say(
      "No machines file was named: the page is for the two invented demo machines. Name your own by --machines.",
    );
  }
  const path = out === undefined ? `${root}/write-ups/phone-page.html` : fromHere(out);
  const worth = worthsOf(line)?.[0];
  if (worth !== undefined && rules === undefined) {
    throw new CommandLineFault(
      `Cannot use --worth: it is for the rule that --model names, got "${worth}" and none`,
    );
  }
  const html = await inTheirWords(() =>
    phonePage({
      machines,
      ...(rules === undefined ? {} : { rules }),
      ...(worth === undefined ? {} : { worth }),
    })
  );
  await outFolder(path.replace(/\/[^/]*$/, "") || "/");
  await writeOut({ [path]: html });
  const kilobytes = Math.ceil(new TextEncoder().encode(html).length / 1000);
  say(
    `The phone page is ${path} (${kilobytes} kB). Send it to the phone and open it there; it needs no network.`,
  );
  say(
    rules === undefined
      ? "It carries no rule: it records, and says nothing. `deno task fit-model` learns one from your log."
      : `It carries ${
        rules.rules.map(({ version, machine, discrimination }) =>
          `${version} (${machine}, ${discrimination})`
        ).join(", ")
      }.`,
  );
  return 0;
});
