import { dirname } from "node:path";
import {
  type ColumnMapping,
  IRON_DISTANCES_CM,
  type MappedTableName,
  type MappingProposal,
  mappingText,
  mapTable,
  matchColumns,
  OUTCOME_RULE,
  parseMapping,
  questionsText,
  readLogFile,
  readTable,
} from "../log/mod.ts";
import { askAt, ownTerminal } from "./_ask.ts";
import { CommandLineFault, fromHere, readCommandLine } from "./_command_line.ts";
import { readMachines, readMapping } from "./_read_logs.ts";
import { readingOptionsOf } from "./_reading_options.ts";
import { runTask, say } from "./_run.ts";
import { writeOut } from "./_write_out.ts";

const tableNames: readonly MappedTableName[] = ["signals", "outings", "finds", "trials"];

await runTask(async (args) => {
  const line = readCommandLine("match-columns", args);
  const [log] = line.files;
  if (log === undefined) throw new CommandLineFault("Cannot match columns: name a log");
  const path = fromHere(log);
  const { table: wanted } = line.values;
  if (wanted !== undefined && !tableNames.includes(wanted as MappedTableName)) {
    throw new CommandLineFault(
      `Cannot use --table: it must be one of ${tableNames.join(", ")}, got "${wanted}"`,
    );
  }
  const out = fromHere(line.values.out ?? `${dirname(path)}/mapping.json`);
  const answers = line.values.columns === undefined
    ? await exists(out) ? out : null
    : fromHere(line.values.columns);
  const given = answers === null ? null : (await readMapping(answers)).mapping;
  if (given?.table !== undefined && wanted !== undefined && given.table !== wanted) {
    throw new CommandLineFault(`Cannot use --table ${wanted}: the mapping file says ${given.table}`);
  }
  const { followLinks, ...tableOptions } = readingOptionsOf(line);
  const reading = { ...tableOptions, ...(followLinks === undefined ? {} : { followLinks }) };
  const named = line.values.machines;
  const machines =
    (await readMachines(named === undefined ? undefined : fromHere(named), path, reading))?.machines ?? null;
  const table = await readTable(await readLogFile(path, reading), tableOptions);

  const terminal = ownTerminal();
  let told = false;
  const proposal = await matchColumns(table, machines, {
    ...(given === null ? {} : { given }),
    ...(wanted === undefined ? {} : { table: wanted as MappedTableName }),
    ...(terminal === null ? {} : {
      ask: (question, so) => {
        if (!told) tellReasons(so);
        told = true;
        return Promise.resolve(askAt(terminal, question));
      },
    }),
  });
  if (!told) tellReasons(proposal);
  if (proposal.questions.length > 0) {
    say(
      `\n${proposal.questions.length} question${proposal.questions.length === 1 ? " is" : "s are"} open. ` +
        `Add an answer to each to ${answers ?? out}, and run this again` +
        `${
          answers === null ? ' (a new file begins {"schema": "overiron-columns/1", "columns": [ ... ]})' : ""
        }:\n`,
    );
    say(questionsText(proposal.questions));
    say("\nNothing was written.");
    return 1;
  }
  const text = mappingText(parseMapping(JSON.stringify(proposal.mapping), "the proposal"));
  const mapped = mapTable(table, proposal.mapping);
  await writeOut({ [out]: text });
  if (line.switches.has("json")) console.log(JSON.stringify({ out, mapping: proposal.mapping }, null, 2));
  if (mapped.assumptions.length > 0) say("\nWhat will be converted, with the first example of each:");
  for (const { column, text, count, first } of mapped.assumptions) {
    say(
      `  ${column ?? "row"}: ${text} (${count}; first on line ${first.line}, ${
        JSON.stringify(shorten(first.value))
      })`,
    );
  }
  const faults: string[] = [];
  for (let row = 0, count = 0; row < mapped.rowCount && count < 5; row++) {
    for (let column = 0; column < mapped.headings.length; column++) {
      const fault = mapped.cellFault?.(row, column) ?? null;
      if (fault === null || count >= 5) continue;
      count++;
      faults.push(
        `  ${mapped.headings[column]}, line ${mapped.place(row, column).line}: ${fault}, got ${
          JSON.stringify(shorten(mapped.source!.written(row, column)))
        }`,
      );
    }
  }
  if (faults.length > 0) say(`\nWhat cannot be converted, the first of it:\n${faults.join("\n")}`);
  if (proposal.mapping.table === "signals") tellRule(proposal.mapping);
  say(
    `\nThe mapping: ${out}\nLoad the log with it: deno task season LOG --columns ${
      line.values.out ?? "mapping.json"
    }`,
  );
  return 0;
});

function shorten(text: string): string {
  return text.length > 40 ? `${text.slice(0, 37)}...` : text;
}

async function exists(path: string): Promise<boolean> {
  return await Deno.stat(path).catch(() => null) !== null;
}

function tellReasons(proposal: MappingProposal): void {
  say("Columns and what they were taken for:");
  for (const { heading, field, text, samples } of proposal.reasons) {
    const shown = samples.length === 0
      ? ""
      : ` (as in ${samples.map((each) => JSON.stringify(shorten(each))).join(", ")})`;
    say(
      `  ${
        heading === null ? field ?? "" : `${JSON.stringify(heading)}${field === null ? "" : ` -> ${field}`}`
      }: ${text}${shown}`,
    );
  }
}

function tellRule(mapping: ColumnMapping): void {
  say("\nHow outcomes will be derived:");
  for (const step of OUTCOME_RULE) say(`  ${step}`);
  const { touching_cm, in_plug_cm, in_hole_cm, repeat_limits = {} } = {
    ...IRON_DISTANCES_CM,
    ...mapping.rule,
  };
  if (mapping.columns.some((each) => each.field === "iron_distance")) {
    say(
      `  Iron up to ${touching_cm} cm away counts as touching, up to ${in_plug_cm} cm as in the plug, up to ${in_hole_cm} cm as in the hole ("rule" of the mapping).`,
    );
  }
  const limits = Object.entries(repeat_limits);
  say(
    limits.length === 0
      ? '  The repeat limit of each machine is measured from the log ("repeat_limits" in "rule" of the mapping would state it).'
      : `  Repeat limits stated by the mapping, in reading units: ${
        limits.map(([machine, limit]) => `${machine} ${limit}`).join(", ")
      }.`,
  );
}
