import { EMPTY_MARKS } from "./_column_facts.ts";
import { few, put } from "./_draft_notes.ts";
import type { ColumnMapping } from "./mapping.ts";
import { findMeant, foldWord } from "./mapping_words.ts";
import type { Draft } from "./_proposal.ts";

const SEPARATORS = [" + ", "+", " & ", "; ", " and ", " und ", " et ", " y ", " en "];

/** Proposes the table of find words where no columns say metal and keeping by themselves. */
export function proposeFinds(draft: Draft, all: ColumnMapping): void {
  if (draft.table !== "signals" && draft.table !== "finds") return;
  const whats = all.columns.filter((each) => /^what(?:_\d+)?$/.test(each.field ?? ""));
  const has = (name: string): boolean => all.columns.some((each) => each.field === name);
  const listed = new Set(all.finds.map((each) => foldWord(each.word)));
  const met = new Map<string, string>();
  let sayAny = false;
  for (const column of whats) {
    const ending = column.field!.slice("what".length);
    const whole = has(`metal${ending}`) && has(`keep${ending}`);
    const facts = draft.facts.find((each) => each.heading === column.heading);
    if (facts === undefined) continue;
    let signs = column.split;
    if (signs === undefined && draft.table === "signals" && !whole) {
      const used = SEPARATORS.filter((sign, i) =>
        facts.values.some((value) => value.includes(sign)) &&
        !SEPARATORS.slice(0, i).some((each) =>
          each.trim() === sign.trim() && facts.values.some((value) => value.includes(each))
        )
      );
      const examples = facts.values.filter((value) => used.some((sign) => value.includes(sign)));
      if (used.length > 0) {
        draft.questions.push({
          id: `split ${column.heading}`,
          heading: column.heading,
          text: `Do cells of ${JSON.stringify(column.heading)} such as these name several finds of one hole?`,
          samples: few(examples),
          options: [
            {
              label: "yes: split them",
              patch: { columns: [{ heading: column.heading, field: column.field, split: used }] },
            },
            {
              label: "no: each cell is one find",
              patch: { columns: [{ heading: column.heading, field: column.field, split: [] }] },
            },
          ],
        });
      }
      signs = [];
    }
    if (whole) continue;
    sayAny = true;
    for (const value of facts.values) {
      const parts = (signs ?? []).reduce((list, sign) => list.flatMap((each) => each.split(sign)), [value]);
      for (
        const part of parts.map((each) => each.trim()).filter((each) => each !== "" && !EMPTY_MARKS.has(each))
      ) {
        if (!met.has(foldWord(part))) met.set(foldWord(part), part);
      }
    }
  }
  if (!sayAny || draft.questions.some((each) => each.id.startsWith("split "))) return;
  const fresh = [...met].filter(([folded]) => !listed.has(folded)).slice(0, 500).map(([, part]) =>
    findMeant(part)
  );
  if (fresh.length === 0) return;
  put(draft, { finds: fresh });
  const silent = fresh.filter((each) => each.metal === undefined && each.result === undefined);
  draft.reasons.push({
    heading: null,
    field: "finds",
    text:
      `${fresh.length} find words were put into the table "finds", each with what it says by itself of metal and keeping${
        silent.length === 0 ? "" : `; ${silent.length} say no metal: write it there where you know it`
      }`,
    samples: few(silent.map((each) => each.word)),
  });
}
