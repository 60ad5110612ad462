import { virtualSeasonFiles } from "../virtual/mod.ts";
import { CommandLineFault, fromHere, readCommandLine, seedOf } from "./_command_line.ts";
import { root, runTask, say } from "./_run.ts";
import { writeFiles } from "./_virtual_output.ts";

await runTask(async (args) => {
  const line = readCommandLine("virtual-season", args);
  const seed = seedOf(line);
  const { out, signals: text = "460" } = line.values;
  const signals = Number(text);
  if (!/^\d+$/.test(text) || signals < 50 || signals > 1_000_000) {
    throw new CommandLineFault(
      `Cannot use --signals: it must be a whole number from 50 to 1000000, got "${text}"`,
    );
  }
  const folder = out === undefined ? `${root}/write-ups/virtual-season` : fromHere(out);
  await writeFiles(folder, virtualSeasonFiles({ signals, seed }));
  say(`${signals} simulated signals and their truth are in ${folder}.`);
  return 0;
});
