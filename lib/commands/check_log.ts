import { correctedIn, FileFault, type LoadReport, rejectedLines, reportText } from "../log/mod.ts";
import { columnsOf, CommandLineFault, fromHere, readCommandLine } from "./_command_line.ts";
import { readLogs } from "./_read_logs.ts";
import { readingOptionsOf } from "./_reading_options.ts";
import { runTask, say } from "./_run.ts";

await runTask(async (args) => {
  const line = readCommandLine("check-log", args);
  const { trials, machines } = line.values;
  const [digLog] = line.files;
  if (digLog === undefined && trials === undefined) {
    throw new CommandLineFault("Cannot check: name a dig log, or a garden log with --trials");
  }
  const path = (name: string | undefined): string | undefined =>
    name === undefined ? undefined : fromHere(name);
  const logs = await readLogs(
    { digLog: path(digLog), gardenLog: path(trials), machines: path(machines), columns: columnsOf(line) },
    { strict: false, reading: readingOptionsOf(line) },
  ).catch((error) => {
    // Where too many rows are rejected the whole list is what the person needs.
    if (error instanceof FileFault && error.rejected.length > 0) {
      say(`Rejected rows (${error.rejected.length}), every rule that they break:`);
      for (const each of rejectedLines(error.rejected)) say(each);
    }
    throw error;
  });
  const reports = [logs.digLog?.report, logs.gardenLog?.report].filter((each) => each !== undefined);
  const rejected = reports.reduce((sum, report) => sum + report.rejected.length, 0);
  if (line.switches.has("json")) console.log(JSON.stringify({ reports: reports.map(forMachines) }, null, 2));
  else console.log(reports.map(reportText).join("\n").trimEnd());
  say(
    rejected === 0
      ? "Every row can be used or is blank or planned. Nothing was written."
      : `${rejected} row${rejected === 1 ? " was" : "s were"} rejected. Nothing was written.`,
  );
  return rejected === 0 ? 0 : 3;
});

function forMachines(report: LoadReport): unknown {
  return {
    ...report,
    accounts: report.accounts.map((account) => ({
      ...account,
      corrected: correctedIn(report, account.role),
    })),
  };
}
