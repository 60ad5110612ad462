import { parseFieldRules } from "../decide/mod.ts";
import { readLogFile } from "../log/mod.ts";
import { CARD_TABLES, type CardTables, fieldCard } from "../writeup/field_card.ts";
import { emptyLogs, fieldSheets, type Paper, PAPERS } from "../writeup/field_sheets.ts";
import { CommandLineFault, fromHere, inTheirWords, readCommandLine } from "./_command_line.ts";
import { worthsOf } from "./_model_options.ts";
import { root, runTask, say } from "./_run.ts";
import { outFolder, writeOut } from "./_write_out.ts";

await runTask(async (args) => {
  const line = readCommandLine("field-sheets", args);
  const { out, model, "card-by": by = "both" } = line.values, worths = worthsOf(line);
  if (!(CARD_TABLES as readonly string[]).includes(by)) {
    throw new CommandLineFault(
      `Cannot use --card-by: it must be one of ${CARD_TABLES.join(", ")}, got "${by}"`,
    );
  }
  const card = model === undefined ? null : await inTheirWords(async () => {
    const { bytes } = await readLogFile(fromHere(model), {});
    const rules = parseFieldRules(new TextDecoder().decode(bytes), model);
    return fieldCard(rules, { by: by as CardTables, ...(worths === undefined ? {} : { worths }) });
  });
  const folder = out === undefined ? `${root}/write-ups/field-sheets` : fromHere(out);
  const kept: string[] = [], logs: Record<string, string> = {};
  await outFolder(folder);
  // A log that stands there already may have been filled in: it is never written over.
  for (const [name, text] of emptyLogs()) {
    const there = await Deno.readTextFile(`${folder}/${name}`).catch(() => null);
    if (there === null) logs[`${folder}/${name}`] = text;
    else if (there !== text) kept.push(name);
  }
  await writeOut(logs, { fresh: true });
  await writeOut({
    ...Object.fromEntries(
      (Object.keys(PAPERS) as Paper[]).map((
        paper,
      ) => [`${folder}/sheets-${paper}.html`, fieldSheets({ paper })]),
    ),
    ...(card === null ? {} : { [`${folder}/card.html`]: card }),
  });
  say(
    `Sheets to print (A4 and Letter) and empty logs are in ${folder}.${
      card === null ? "" : " card.html is the rule to carry."
    }`,
  );
  if (kept.length > 0) say(`Left as they were, since they hold something: ${kept.join(", ")}.`);
  return 0;
});
