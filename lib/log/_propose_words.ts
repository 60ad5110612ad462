import { metalByMagnet } from "./_column_facts.ts";
import { few, say } from "./_draft_notes.ts";
import { type MappedColumn, mappedField } from "./mapping.ts";
import { bareWord, foldWord, wordMeant } from "./mapping_words.ts";
import type { Draft } from "./_proposal.ts";

/** Finds out what the words of a column mean, or asks, each by itself. */
export function detailWords(draft: Draft, column: MappedColumn, values: readonly string[]): void {
  const { heading } = column;
  const name = column.field!;
  const field = mappedField(draft.table, name)!;
  const known = new Map(Object.entries(column.words ?? {}).map(([from, to]) => [foldWord(from), to]));
  const refused = new Set((column.refuse ?? []).map(foldWord));
  const ordered = new Set((column.depth_order ?? []).map(foldWord));
  const words: Record<string, string> = {};
  const plusMinus = values.some((value) => value === "+") && field.words.includes("no");
  const seen = new Set<string>();
  for (const value of values.slice(0, 200)) {
    // Not to be had as a key; the field's own rule refuses it.
    if (value === "__proto__") continue;
    const folded = foldWord(value);
    if (seen.has(folded) || refused.has(folded) || known.has(folded) || ordered.has(folded)) continue;
    seen.add(folded);
    if (draft.given.empty.map(foldWord).includes(folded)) continue;
    if (field.kind === "depth" && /\d/.test(value)) continue;
    const magnet = field.name === "metal" ? metalByMagnet(heading, value) : null;
    const meant = magnet ?? (plusMinus && value === "-" ? "no" : wordMeant(field.name, value, field.words));
    if (meant !== null) {
      if (foldWord(value).replace(/[\s_]+/g, "-") !== meant || magnet !== null) words[value] = meant;
      continue;
    }
    draft.questions.push({
      id: `word ${heading}: ${value}`,
      heading,
      text: `What does ${JSON.stringify(value)} mean in ${JSON.stringify(heading)} (${name})?`,
      samples: few(values),
      options: [
        ...[...field.words, ""].map((to) => ({
          label: to === "" ? "nothing: read it as an empty cell" : to,
          patch: { columns: [{ heading, field: name, words: { [value]: to } }] },
        })),
        {
          label: "a slip: rows with it are set aside",
          patch: { columns: [{ heading, field: name, refuse: [value] }] },
        },
      ],
    });
  }
  if (Object.keys(words).length > 0) {
    say(
      draft,
      column,
      { words },
      `its words are plain words for the kit's: ${
        Object.entries(words).slice(0, 6).map(([a, b]) => `${a} = ${b}`).join(", ")
      }`,
      few(Object.keys(words)),
    );
  }
}

/** Matches names of machines or settings sets to those of the machines file, or asks. */
export function detailMachines(draft: Draft, column: MappedColumn, values: readonly string[]): void {
  if (draft.machines === null) return;
  const { heading } = column;
  const name = column.field!;
  const names = name === "machine"
    ? draft.machines.machines.map((each) => each.machine)
    : draft.machines.settings.map((each) => each.settings);
  if (names.length === 0) return;
  const known = new Map(Object.entries(column.words ?? {}).map(([from, to]) => [foldWord(from), to]));
  const words: Record<string, string> = {};
  for (const value of values.slice(0, 50)) {
    if (
      value === "__proto__" || known.has(foldWord(value)) ||
      names.some((each) => each.toLowerCase() === value.toLowerCase().replace(/\s+/g, " "))
    ) continue;
    const near = names.filter((each) =>
      bareWord(each) === bareWord(value) ||
      ` ${bareWord(each)} `.includes(` ${bareWord(value)} `) && bareWord(value).length > 1
    );
    if (near.length === 1) {
      words[value] = near[0]!;
      continue;
    }
    draft.questions.push({
      id: `word ${heading}: ${value}`,
      heading,
      text: `Which ${name === "machine" ? "machine" : "settings set"} of the machines file is ${
        JSON.stringify(value)
      }?`,
      samples: few(values),
      options: [...names, value].map((to, i) => ({
        label: i === names.length ? "none of them: it must be added to the machines file" : to,
        patch: { columns: [{ heading, field: name, words: { [value]: to } }] },
      })),
    });
  }
  if (Object.keys(words).length > 0) {
    say(
      draft,
      column,
      { words },
      "its names are parts of names in the machines file",
      few(Object.keys(words)),
    );
  }
}
