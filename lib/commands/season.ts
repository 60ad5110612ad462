import type { LeakReport } from "../writeup/leak_report.ts";
import { makeWriteUp, type WriteUp } from "../writeup/make_write_up.ts";
import { previewWriteUp } from "../writeup/preview_write_up.ts";
import { LEAST_CELL_KM } from "../writeup/publish_data.ts";
import { columnsOf, CommandLineFault, fromHere, readCommandLine, seedOf } from "./_command_line.ts";
import { levelOf, worthsOf } from "./_model_options.ts";
import { progressPrinter } from "./_progress.ts";
import { readLogs } from "./_read_logs.ts";
import { readingOptionsOf } from "./_reading_options.ts";
import { root, runTask, say } from "./_run.ts";

const demo = `${root}/datasets/demo`;

await runTask(async (args) => {
  const line = readCommandLine("season", args);
  const seed = seedOf(line);
  const { trials, machines, out, title, author, date } = line.values;
  if (date !== undefined) checkDay(date);
  const [digLog] = line.files;
  const isDemo = digLog === undefined && trials === undefined;
  if (isDemo && (machines !== undefined || columnsOf(line).length > 0)) {
    throw new CommandLineFault(
      `Cannot use --${
        machines === undefined ? "columns" : "machines"
      } by itself: name a dig log, or a garden log with --trials`,
    );
  }
  const level = levelOf(line), worths = worthsOf(line);
  const ofModel = ["level", "worth", "worths"].find((name) => line.values[name] !== undefined);
  if (ofModel !== undefined && digLog === undefined && !isDemo) {
    throw new CommandLineFault(
      `Cannot use --${ofModel}: it is for the personal model, which needs a dig log, got "${
        line.values[ofModel]
      }" and none`,
    );
  }
  const cellsKm = line.values["coarse-cells"] === undefined ? undefined : Number(line.values["coarse-cells"]);
  if (cellsKm !== undefined && !(cellsKm >= LEAST_CELL_KM && cellsKm <= 1000)) {
    throw new CommandLineFault(
      `Cannot use --coarse-cells: it must be a number of kilometres from ${LEAST_CELL_KM} to 1000, got "${
        line.values["coarse-cells"]
      }"`,
    );
  }
  const logs = await readLogs({
    digLog: isDemo ? `${demo}/dig-log.csv` : digLog === undefined ? undefined : fromHere(digLog),
    gardenLog: isDemo ? `${demo}/garden-log.csv` : trials === undefined ? undefined : fromHere(trials),
    machines: machines !== undefined ? fromHere(machines) : isDemo ? `${demo}/machines.json` : undefined,
    columns: columnsOf(line),
  }, { strict: line.switches.has("strict"), reading: readingOptionsOf(line) });
  const shown = {
    root,
    seed,
    parameters: { ...(level === undefined ? {} : { level }), ...(worths === undefined ? {} : { worths }) },
    title: title ?? (isDemo ? "A demo season beside a ferry landing" : "A season of signals"),
    command: [
      "deno task season",
      digLog && "DIG-LOG",
      trials && "--trials GARDEN-LOG",
      machines && "--machines MACHINES",
      line.values.columns && "--columns COLUMNS",
      cellsKm !== undefined && `--coarse-cells ${cellsKm}`,
      line.values["trial-columns"] && "--trial-columns COLUMNS",
      level !== undefined && `--level ${level}`,
      worths !== undefined && (worths.length === 1 ? `--worth ${worths[0]}` : `--worths ${worths.join(",")}`),
      `--seed ${seed}`,
    ]
      .filter(Boolean).join(" "),
    ...(author === undefined ? {} : { author }),
    ...(date === undefined ? {} : { date }),
    ...(cellsKm === undefined ? {} : { coarseCellsKm: cellsKm }),
    ownNotebooks: line.values.with === undefined ? [] : [fromHere(line.values.with)],
  };
  if (line.switches.has("list-only")) {
    list(await previewWriteUp(logs, shown), line.switches.has("json"));
    return 0;
  }
  const printer = progressPrinter();
  const writeUp = await makeWriteUp(logs, {
    ...shown,
    out: out === undefined ? `${root}/write-ups/${isDemo ? "demo" : "season"}` : fromHere(out),
    notices: isDemo
      ? [
        "The logs behind this page are invented: made-up objects in made-up ground, to show what the kit does with a season.",
      ]
      : [],
    cached: !line.switches.has("fresh"),
    onListing: (listing) =>
      say(
        `To be published, in full in what-is-published.txt beside the rejected rows (--list-only tells it and stops):\n  ${
          listing.map(brief).join("\n  ")
        }`,
      ),
    onProgress: printer.show,
  }).finally(printer.end);
  if (line.switches.has("json")) console.log(JSON.stringify(summary(writeUp), null, 2));
  tell(writeUp);
  return writeUp.failures.length > 0 ? 2 : 0;
});

/** Tells what would be published, and nothing more. */
function list({ text, summary, leaks }: LeakReport, json: boolean): void {
  if (json) console.log(JSON.stringify({ summary, leaks }, null, 2));
  else console.log(text.trimEnd());
  say("Nothing was run and nothing was written. Without --list-only the write-up is made.");
}

/** A sentence of the listing without its long list of fields. */
function brief(sentence: string): string {
  if (sentence.length <= 220 || /^(Kept|LOOK)/.test(sentence)) return sentence;
  return sentence.slice(0, sentence.indexOf(": "));
}

function summary({ folder, headlines, failures, setAside, leftOut, reused, sizes, leaks }: WriteUp): unknown {
  return { folder, headlines, failures, setAside, leftOut, reused, sizes, leaks };
}

function kilobytes(bytes: number): string {
  return `${Math.ceil(bytes / 1000)} kB`;
}

function checkDay(date: string): void {
  try {
    if (/^\d{4}-\d\d-\d\d$/.test(date) && Temporal.PlainDate.from(date).toString() === date) return;
  } catch {
    // Told below.
  }
  throw new CommandLineFault(`Cannot use --date: it must be a day, YYYY-MM-DD, got "${date}"`);
}

function tell(writeUp: WriteUp): void {
  for (const failure of writeUp.failures) {
    say(
      `Notebook ${failure.notebook}, cell ${failure.cell}${
        failure.line === null ? "" : `, line ${failure.line}`
      }: ${failure.name}: ${failure.message}`,
    );
  }
  if (writeUp.reused.length > 0) {
    say(
      `Taken from an earlier run on the same data, code and seed (--fresh runs all): ${
        writeUp.reused.join(", ")
      }`,
    );
  }
  for (const { title, reason } of writeUp.leftOut) say(`Left out: ${title}: ${reason}`);
  if (writeUp.failures.length > 0) {
    say(`What could be made is in ${writeUp.folder}/index.html; an earlier write-up was left as it was.`);
  } else {
    say("");
    for (const { label, value, detail } of writeUp.headlines) {
      say(`${label}: ${value}${detail ? ` (${detail})` : ""}`);
    }
    say(`\nThe write-up: ${writeUp.folder}/index.html`);
    const total = Object.values(writeUp.sizes).reduce((sum, bytes) => sum + bytes, 0);
    say(`Its page has ${kilobytes(writeUp.sizes["index.html"] ?? 0)}, the whole folder ${kilobytes(total)}.`);
  }
  for (const { where, what, found } of writeUp.leaks) {
    say(`LOOK AGAIN before you pass it on: ${where}: ${what}: ${found}`);
  }
  const { rejected, folder } = writeUp.setAside;
  say(
    rejected === 0
      ? "Every row of the logs was used or blank."
      : `${rejected} row${
        rejected === 1 ? " was" : "s were"
      } set aside, whole and with the reason, in ${folder}`,
  );
}
