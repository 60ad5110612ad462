import { loadDigLog, mapTable, readLogFile, readTable, type Table } from "../log/mod.ts";
import { signalsNamed } from "../writeup/phone_import.ts";
import { dayInFiveLines, joinExport } from "../writeup/phone_take_home.ts";
import { CommandLineFault, fromHere, inTheirWords, readCommandLine } from "./_command_line.ts";
import { NO_MACHINES, readMachines, readMapping } from "./_read_logs.ts";
import { joinedBeside } from "./_files_beside.ts";
import { runTask, say } from "./_run.ts";
import { tame } from "./_tame.ts";
import { writeOut } from "./_write_out.ts";

await runTask(async (args) => {
  const line = readCommandLine("take-home", args);
  const [exported] = line.files;
  const { log, machines: named, out, columns } = line.values;
  if (exported === undefined || log === undefined) {
    throw new CommandLineFault("Cannot join: name the phone's export, and the season's log with --log FILE");
  }
  const target = fromHere(out ?? joinedBeside(log));
  if (await Deno.lstat(target).catch(() => null) !== null) {
    throw new CommandLineFault(
      `Cannot write ${target}: it is there already, and no log is ever written over`,
    );
  }
  const dayFile = await readLogFile(fromHere(exported), {});
  const day = await readTable(dayFile);
  const stated = signalsNamed(exported);
  if (stated !== null && stated !== day.rowCount) {
    throw new CommandLineFault(
      `Cannot join ${exported}: its name says ${stated} signals, but it holds ${day.rowCount}: it was cut off. Nothing was written; save it again on the phone`,
    );
  }
  const written = await readTable(await readLogFile(fromHere(log), {}));
  const season = columns === undefined ? written : await asMapped(written, fromHere(columns));
  const joined = await inTheirWords(() => joinExport(season, day));
  const found = await readMachines(named === undefined ? undefined : fromHere(named), fromHere(log));
  const machines = found?.machines ?? NO_MACHINES;
  const bytes = new TextEncoder().encode(joined.text);
  const loaded = await loadDigLog({ name: "the joined log", bytes }, machines);
  await writeOut({ [target]: bytes }, { fresh: true });
  say(
    `${joined.added.length} new signals, ${joined.same.length} that were there already, ${
      new Set(joined.changed.map(({ signal }) => signal)).size
    } changed.`,
  );
  for (const { signal, field, before, after } of joined.changed) {
    say(`  ${signal}, ${field}: ${JSON.stringify(before)} is now ${JSON.stringify(after)}`);
  }
  for (const [a, b] of joined.alike) {
    say(`  ${a} and ${b} have one site, day and readings: one signal, written down twice?`);
  }
  for (const fault of loaded.report.rejected.flatMap(({ faults }) => faults)) {
    say(`  Line ${fault.line}${fault.column === null ? "" : `, ${fault.column}`}: ${fault.rule}`);
  }
  const ids = new Set(
    day.headings.includes("signal_id")
      ? [...joined.added, ...joined.same, ...joined.changed.map(({ signal }) => signal)]
      : [],
  );
  const { signals, outings } = loaded.season;
  for (const text of dayInFiveLines(signals, ids, outings === undefined ? {} : { outings })) {
    console.log(tame(text));
  }
  say(`The joined log is ${target}; the season's own log is as it was.`);
  return 0;
});

/** The season's log in the kit's own headings. A cell that the mapping cannot convert would be read otherwise: it is refused. */
async function asMapped(table: Table, path: string): Promise<Table> {
  const { mapping } = await readMapping(path);
  if ((mapping.table ?? "signals") !== "signals") {
    throw new CommandLineFault(
      `Cannot use ${path}: it must be a mapping of signals, got one of ${mapping.table}`,
    );
  }
  const mapped = mapTable(table, mapping);
  for (let row = 0; row < mapped.rowCount; row++) {
    for (let column = 0; column < mapped.headings.length; column++) {
      const fault = mapped.cellFault?.(row, column) ?? null;
      if (fault === null) continue;
      const { file, line } = mapped.place(row, column);
      throw new CommandLineFault(
        `Cannot join ${file}, line ${line}: ${
          mapped.headings[column]
        } ${fault}; mend the cell or the mapping first`,
      );
    }
  }
  return mapped;
}
