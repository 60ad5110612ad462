import { createHash } from "node:crypto";
import { FIELD_ENGINES, type FieldEngine, fieldStudies, fitFieldRules } from "../decide/mod.ts";
import { modelCard } from "../writeup/model_card.ts";
import { columnsOf, CommandLineFault, fromHere, readCommandLine, seedOf } from "./_command_line.ts";
import { readLogs } from "./_read_logs.ts";
import { readingOptionsOf } from "./_reading_options.ts";
import { cardBeside } from "./_files_beside.ts";
import { runTask, say } from "./_run.ts";
import { writeOut } from "./_write_out.ts";

await runTask(async (args) => {
  const line = readCommandLine("fit-model", args);
  const [file] = line.files;
  const { machines, out = "model.json", engine } = line.values;
  if (file === undefined) {
    throw new CommandLineFault(
      "Cannot learn: name a dig log; `deno task fit-model --help` lists what it takes",
    );
  }
  if (engine !== undefined && !(FIELD_ENGINES as readonly string[]).includes(engine)) {
    throw new CommandLineFault(
      `Cannot use --engine: it must be one of ${FIELD_ENGINES.join(", ")}, got "${engine}"`,
    );
  }
  const { digLog, inputs } = await readLogs({
    digLog: fromHere(file),
    machines: machines === undefined ? undefined : fromHere(machines),
    columns: columnsOf(line),
  }, { strict: line.switches.has("strict"), reading: readingOptionsOf(line) });
  const { season, report } = digLog!;
  const seed = seedOf(line);
  const studies = await fieldStudies(season, { seed });
  const rules = await fitFieldRules(
    season,
    engine === undefined ? { seed, studies } : { seed, studies, engine: engine as FieldEngine },
  );
  for (const { machine, discrimination, reason } of rules.leftOut) {
    say(`No rule for ${machine}, discrimination ${discrimination}: ${reason}`);
  }
  if (report.rejected.length > 0) {
    say(`${report.rejected.length} rows broke a rule of the log and taught nothing.`);
  }
  if (rules.rules.length === 0) {
    say("No rule was written: the log is too small to learn from.");
    return 3;
  }
  const path = fromHere(out), cardPath = cardBeside(path);
  const accepted = new Map(report.accounts.map(({ role, accepted }) => [role, accepted]));
  const card = modelCard(rules, season, {
    studies,
    inputs: inputs.map(({ role, bytes }) => ({
      role,
      sha256: createHash("sha256").update(bytes).digest("hex"),
      rows: accepted.get(role) ?? null,
    })),
  });
  await writeOut({ [path]: `${JSON.stringify(rules)}\n`, [cardPath]: card });
  for (const { version, machine, discrimination, engine, learntFrom } of rules.rules) {
    say(
      `${version}: ${machine}, discrimination ${discrimination}, ${engine}, from ${learntFrom.signals} dug signals ` +
        `(${learntFrom.ferrous} ferrous, ${learntFrom.nonFerrous} non-ferrous, ${learntFrom.maskedGood} masked good) at ${learntFrom.sites} sites`,
    );
  }
  say(
    `The rules are in ${path}: \`deno task phone-page --model FILE\` takes them to the field. What they stand on is in ${cardPath}.`,
  );
  return 0;
});
