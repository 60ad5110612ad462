import { type ColumnFacts, fitOf } from "./_column_facts.ts";
import { type MappedColumn, mappedField, type MappedTableName } from "./mapping.ts";
import { guessHeading } from "./mapping_headings.ts";
import { type Draft, labelOf } from "./_proposal.ts";
import { asFieldName } from "./table.ts";

/** Scores that differ by less than this are as good as each other. */
const TIE = 0.03;
/** Below this a guess is asked about, since only a part of the heading or its spelling speaks for it. */
const SURE = 0.6;

interface Candidate {
  readonly facts: ColumnFacts;
  readonly field: string;
  readonly pass: number | null;
  readonly score: number;
  readonly reason: string;
}

function candidatesOf(facts: readonly ColumnFacts[], table: MappedTableName): Candidate[] {
  return facts.flatMap((each): Candidate[] => {
    const own = asFieldName(each.heading);
    if (mappedField(table, own) !== null) {
      return [{
        facts: each,
        field: own,
        pass: null,
        score: 1,
        reason: "the heading is the field's own name",
      }];
    }
    return guessHeading(each.heading, table).flatMap((guess) => {
      const fit = fitOf(each, guess.field, mappedField(table, guess.field));
      if (fit < 0.5) return [];
      return [{
        facts: each,
        field: guess.field,
        pass: guess.pass ?? null,
        score: guess.score * (0.8 + 0.2 * fit),
        reason: guess.reason,
      }];
    });
  }).sort((a, b) => b.score - a.score || a.facts.at - b.facts.at || (a.field < b.field ? -1 : 1));
}

/** Whether the headings are those of a garden log or of a dig log. */
export function tableOf(facts: readonly ColumnFacts[]): MappedTableName {
  const sure = new Set(
    candidatesOf(facts, "trials").filter((each) => each.score >= 0.7).map((each) => each.field),
  );
  const dig = new Set(
    candidatesOf(facts, "signals").filter((each) => each.score >= 0.7).map((each) => each.field),
  );
  const garden = sure.has("gap_cm") || (sure.has("target") && sure.has("neighbour"));
  return garden && !dig.has("dug") && !dig.has("what") ? "trials" : "signals";
}

/** Of a name with a number behind it (`what_2`), the plain field. */
const slot = (field: string, pass: number | null): string => pass === null ? field : `${field} ${pass}`;

/** Gives headings their fields, the surest first; where two are as good, a question. */
export function assignHeadings(draft: Draft): void {
  const { table, given, facts, columns, questions, reasons } = draft;
  const taken = new Set<string>(Object.keys(given.constants));
  const settled = new Set<string>();
  for (const column of given.columns) {
    if (column.field === undefined) continue;
    settled.add(column.heading);
    if (column.field !== null) taken.add(slot(column.field, column.pass ?? null));
  }
  const directed = (): boolean => [...taken].some((each) => /^readings_(?:right|left)(?: |$)/.test(each));
  const list = candidatesOf(facts.filter((each) => !settled.has(each.heading)), table);
  const sides = ["right", "left"].map((side) => `readings_${side}`);
  const twoSided = sides.every((side) => list.some((each) => each.field === side));
  const free = (each: Candidate): boolean =>
    !(each.field === "readings" && twoSided) &&
    !(sides.includes(each.field) && [...taken].some((key) => /^readings(?: |$)/.test(key))) &&
    !settled.has(each.facts.heading) && !taken.has(slot(each.field, each.pass)) &&
    !(each.pass !== null
      ? taken.has(each.field)
      : [...taken].some((key) => key.startsWith(`${each.field} `))) &&
    !(each.field === "readings" && directed()) &&
    !(each.field === "iron_evidence" && taken.has("iron_distance")) &&
    !(each.field === "iron_distance" && taken.has("iron_evidence"));
  const leaveOut = (heading: string) => ({
    label: `leave ${JSON.stringify(heading)} out`,
    patch: { columns: [{ heading, field: null }] },
  });
  const means = (each: Candidate): MappedColumn => ({
    heading: each.facts.heading,
    field: each.field,
    ...(each.pass === null ? {} : { pass: each.pass }),
  });

  const othersOf = (best: Candidate): Candidate[] =>
    list.filter((each) => each !== best && each.facts === best.facts && asGood(each, best) && free(each));
  // Headings with one meaning go first: what they take is no longer open to those with two.
  for (
    const [best, clearOnly] of [
      ...list.map((each) => [each, true] as const),
      ...list.map((each) => [each, false] as const),
    ]
  ) {
    if (!free(best)) continue;
    const { heading, samples } = best.facts;
    const others = othersOf(best);
    if (clearOnly && (others.length > 0 || best.score < SURE)) continue;
    const headings = list.filter((each) =>
      each.facts !== best.facts && each.field === best.field && each.pass === best.pass &&
      asGood(each, best) &&
      free(each) && (!clearOnly || othersOf(each).length === 0)
    );
    if (others.length > 0 || best.score < SURE) {
      settled.add(heading);
      const choices = best.score < SURE
        ? list.filter((each) => each.facts === best.facts && free2(each))
        : others;
      const options = [best, ...choices.filter((each) => each !== best)].slice(0, 6);
      for (const each of options) taken.add(slot(each.field, each.pass));
      questions.push({
        id: `column ${heading}`,
        heading,
        text: options.length > 1
          ? `What does the column ${JSON.stringify(heading)} hold?`
          : `Does the column ${JSON.stringify(heading)} hold ${best.field}? (${best.reason})`,
        samples,
        options: [
          ...options.map((each) => ({
            label: labelOf(table, each.field),
            patch: { columns: [means(each)] },
          })),
          leaveOut(heading),
        ],
      });
      continue;
    }
    if (headings.length > 0) {
      const all = [best, ...headings];
      for (const each of all) settled.add(each.facts.heading);
      taken.add(slot(best.field, best.pass));
      questions.push({
        id: `field ${slot(best.field, best.pass)}`,
        heading: null,
        text: `Which column holds ${labelOf(table, best.field)}?`,
        samples: all.map((each) => `${each.facts.heading}: ${each.facts.samples.join(", ")}`),
        options: all.map((each) => ({
          label: JSON.stringify(each.facts.heading),
          patch: { columns: [means(each)] },
        })),
      });
      continue;
    }
    settled.add(heading);
    taken.add(slot(best.field, best.pass));
    columns.push(means(best));
    reasons.push({ heading, field: best.field, text: best.reason, samples });
  }
  for (const each of facts) {
    if (settled.has(each.heading)) continue;
    columns.push({ heading: each.heading, field: null });
    reasons.push({
      heading: each.heading,
      field: null,
      text: each.filled === 0 ? "left out: it is empty" : "left out: no field fits its heading and its cells",
      samples: each.samples,
    });
  }

  function asGood(each: Candidate, best: Candidate): boolean {
    return best.score - each.score < TIE && best.score < 0.98;
  }
  function free2(each: Candidate): boolean {
    return !taken.has(slot(each.field, each.pass)) && !(each.field === "readings" && directed());
  }
}
