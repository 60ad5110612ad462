import { basename } from "node:path";
import { readTable } from "../log/mod.ts";
import { type LogRow, virtualGardenFiles, virtualGardenPlan } from "../virtual/mod.ts";
import { CommandLineFault, fromHere, inTheirWords, readCommandLine, seedOf } from "./_command_line.ts";
import { root, runTask, say } from "./_run.ts";
import { writeFiles } from "./_virtual_output.ts";

/** The rows of a plan: a garden log without readings. */
async function planOf(path: string): Promise<readonly LogRow[]> {
  const bytes = await Deno.readFile(path).catch((error) => {
    throw new CommandLineFault(`Cannot read ${basename(path)}: ${(error as Error).message}`);
  });
  const table = await readTable({ name: basename(path), bytes });
  return Array.from(
    { length: table.rowCount },
    (_, row) =>
      Object.fromEntries(table.headings.map((heading, column) => [heading, table.cell(row, column)])),
  ).filter((row) => Object.values(row).some((cell) => cell.trim() !== ""));
}

await runTask(async (args) => {
  const line = readCommandLine("virtual-garden", args);
  const seed = seedOf(line);
  const { plan, out } = line.values;
  const folder = out === undefined ? `${root}/write-ups/virtual-garden` : fromHere(out);
  const rows = plan === undefined ? virtualGardenPlan({ seed }) : await planOf(fromHere(plan));
  const files = await inTheirWords(() => virtualGardenFiles(rows, { seed }));
  await writeFiles(folder, files);
  say(`${rows.length} simulated trials and their truth are in ${folder}.`);
  return 0;
});
