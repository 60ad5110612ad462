import { type ForeignNotebook, rerunWriteUp } from "../writeup/mod.ts";
import { ownTerminal } from "./_ask.ts";
import { CommandLineFault, fromHere, readCommandLine } from "./_command_line.ts";
import { progressPrinter } from "./_progress.ts";
import { root, runTask, say } from "./_run.ts";
import { tame } from "./_tame.ts";

await runTask(async (args) => {
  const line = readCommandLine("rerun", args);
  const [folder] = line.files;
  if (folder === undefined) throw new CommandLineFault("Cannot run again: name the folder of a write-up");
  const tolerance = Number(line.values.tolerance ?? "1e-6");
  if (!(tolerance >= 0 && tolerance < 1)) {
    throw new CommandLineFault(
      `Cannot use --tolerance: it must be a share from 0 to below 1, got "${line.values.tolerance}"`,
    );
  }
  const printer = progressPrinter();
  const report = await rerunWriteUp(fromHere(folder), {
    root,
    tolerance,
    allow: (foreign) => allow(foreign, line.switches.has("trust")),
    onProgress: printer.show,
  }).finally(printer.end);
  if (line.switches.has("json")) console.log(JSON.stringify(report, null, 2));
  else {
    for (const { path, difference } of report.hashes) console.log(`${path}: ${difference}`);
    for (const { notebook, cell, cellId, verdict, differences } of report.cells) {
      console.log(`${notebook}, cell ${cell} (${cellId}): ${verdict.replaceAll("-", " ")}`);
      for (const each of differences) console.log(`    ${tame(each)}`);
    }
    for (const { path, verdict } of report.files) console.log(`${path}: ${verdict.replaceAll("-", " ")}`);
    for (const { name, was, is } of report.versions) console.log(`${name} was ${was}, is ${is}`);
  }
  for (const { notebook, cell, name, message } of report.failures) {
    say(`Notebook ${notebook}, cell ${cell}: ${name}: ${message}`);
  }
  const count = (verdict: string): number => report.cells.filter((each) => each.verdict === verdict).length;
  say(
    `${report.cells.length} cells: ${count("equal")} equal, ${
      count("within-tolerance")
    } equal within tolerance, ${count("different")} different, ${
      count("not-run")
    } not run; ${report.hashes.length} files not as recorded.`,
  );
  say(
    report.verdict === "same" ? "The write-up came out the same." : "The write-up did not come out the same.",
  );
  return report.verdict === "same" ? 0 : 3;
});

/** Shows what would run and asks; without a terminal only `--trust` says yes. */
function allow(foreign: readonly ForeignNotebook[], trusted: boolean): boolean {
  for (const { name, codeCells, newCells } of foreign) {
    say(
      `Notebook ${name} is not one of this checkout's: ${newCells.length} of its ${codeCells} code cells are new to it.`,
    );
    for (const { cell, cellId, source } of newCells) {
      say(`  cell ${cell} (${cellId}):`);
      for (const each of source.split("\n")) say(`    | ${each}`);
    }
  }
  say(
    "Such a notebook is a program by somebody else. Its kernel may read every file that you may; it may write none, and neither\n" +
      "use the network nor start other programs. It runs on a copy of the data, and what comes out of it is only compared.",
  );
  if (trusted) return true;
  const terminal = ownTerminal();
  if (terminal === null) {
    say("Nobody can be asked here; --trust says yes.");
    return false;
  }
  terminal.write("Run it? Type yes to run: ");
  return terminal.read()?.trim().toLowerCase() === "yes";
}
