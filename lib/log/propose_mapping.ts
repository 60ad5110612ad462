import { type ColumnFacts, columnFacts, fitOf } from "./_column_facts.ts";
import type { MachinesFile } from "./machines.ts";
import {
  type ColumnMapping,
  columnMappingSchema,
  isReadings,
  type MappedColumn,
  mappedField,
  type MappedTableName,
} from "./mapping.ts";
import { guessHeading } from "./mapping_headings.ts";
import { detailColumn, proposeFinds } from "./_propose_details.ts";
import { proposeReadings } from "./_propose_readings.ts";
import { asFieldName, type Table } from "./table.ts";

/** Lines to add to a mapping. Columns are matched by heading, words and the rest by their own names. */
export interface MappingPatch {
  readonly columns?: readonly MappedColumn[];
  readonly constants?: Readonly<Record<string, string>>;
  readonly ids?: "row-number";
  readonly empty?: readonly string[];
  readonly readings?: ColumnMapping["readings"];
  readonly finds?: ColumnMapping["finds"];
}

/** Something about a log that two answers fit: it is asked, never guessed. */
export interface MappingQuestion {
  /** What it is about; no two open questions share it. */
  readonly id: string;
  /** The heading that it is about, or null. */
  readonly heading: string | null;
  readonly text: string;
  /** Cells of the log that show what is meant. */
  readonly samples: readonly string[];
  readonly options: readonly { readonly label: string; readonly patch: MappingPatch }[];
  /** A field whose value, the same in every row, may be typed as the answer. */
  readonly constant?: string;
}

/** Why a heading was taken for a field, or left out. */
export interface MappingReason {
  readonly heading: string | null;
  readonly field: string | null;
  readonly text: string;
  readonly samples: readonly string[];
}

/** A mapping as far as it can be told without asking. */
export interface MappingProposal {
  readonly mapping: ColumnMapping;
  readonly questions: readonly MappingQuestion[];
  readonly reasons: readonly MappingReason[];
}

export interface ProposeMappingOptions {
  /** What is already said: it stands, and is not asked again. */
  readonly given?: ColumnMapping;
  /** Which table of a log it is. Default: a garden log where target and neighbour or gap are among the headings. */
  readonly table?: MappedTableName;
}

/** What the parts of a proposal add to. */
export interface Draft {
  readonly table: MappedTableName;
  readonly given: ColumnMapping;
  readonly machines: MachinesFile | null;
  readonly facts: readonly ColumnFacts[];
  readonly columns: MappedColumn[];
  readonly questions: MappingQuestion[];
  readonly reasons: MappingReason[];
  patch: MappingPatch;
}

/** Scores that differ by less than this are as good as each other. */
const TIE = 0.03;
/** Below this a guess is asked about, since only a part of the heading or its spelling speaks for it. */
const SURE = 0.6;

const EMPTY: ColumnMapping = columnMappingSchema.parse({ schema: "overiron-columns/1" });

/**
 * Adds lines to a mapping: a column of the same heading (and field, where both name one) is amended, words are joined,
 * whatever else is named is replaced. The mapping given is left as it is.
 *
 * @example
 * ```ts
 * import { amendMapping, parseMapping } from "overiron";
 * const mapping = parseMapping('{"schema":"overiron-columns/1","columns":[{"heading":"Day","field":"date"}]}');
 * const amended = amendMapping(mapping, { columns: [{ heading: "Day", order: "day-month-year" }] });
 * if (amended.columns[0]?.field !== "date" || amended.columns[0].order !== "day-month-year") throw new Error("wrong");
 * ```
 */
export function amendMapping(mapping: ColumnMapping, patch: MappingPatch): ColumnMapping {
  const columns = [...mapping.columns];
  for (const added of patch.columns ?? []) {
    const at = columns.findIndex((each) =>
      each.heading === added.heading &&
      (each.field === undefined || added.field === undefined || each.field === added.field)
    );
    if (at < 0) columns.push(added);
    else {
      const known = columns[at]!;
      const words = added.words === undefined ? known.words : { ...known.words, ...added.words };
      const refuse = added.refuse === undefined
        ? known.refuse
        : [...new Set([...known.refuse ?? [], ...added.refuse])];
      columns[at] = {
        ...known,
        ...added,
        ...(words === undefined ? {} : { words }),
        ...(refuse === undefined ? {} : { refuse }),
      };
    }
  }
  const finds = [...mapping.finds];
  for (const added of patch.finds ?? []) {
    const at = finds.findIndex((each) => each.word === added.word);
    if (at < 0) finds.push(added);
    else finds[at] = { ...finds[at]!, ...added };
  }
  return {
    ...mapping,
    columns,
    finds,
    constants: { ...mapping.constants, ...patch.constants },
    empty: [...new Set([...mapping.empty, ...patch.empty ?? []])],
    readings: { ...mapping.readings, ...patch.readings },
    ...(patch.ids === undefined ? {} : { ids: patch.ids }),
  };
}

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

function tableOf(facts: readonly ColumnFacts[]): MappedTableName {
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
function assign(draft: Draft): void {
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

/** A field's name and the first words of its meaning, for a person. */
function labelOf(table: MappedTableName, name: string): string {
  if (name === "readings") return "readings of both directions (readings)";
  if (name === "iron_distance") return "the distance to the nearest iron (iron_distance)";
  const meaning = mappedField(table, name)?.meaning ?? "";
  return `${name}: ${meaning.replace(/[;,.].*$/s, "")}`;
}

/** Asks for what a log must have and no column holds. */
function askMissing(draft: Draft): void {
  const { table, given, columns, machines, questions, reasons } = draft;
  // A field that an open question may yet give is not missing.
  const pending = questions.flatMap((each) => each.options.flatMap((option) => option.patch.columns ?? []));
  const known = [...given.columns, ...columns, ...pending];
  const has = (name: string): boolean =>
    known.some((each) => each.field === name) ||
    Object.hasOwn(given.constants, name);
  const id = table === "trials" ? "trial_id" : table === "signals" ? "signal_id" : null;
  if (id !== null && !has(id) && given.ids === undefined) {
    draft.patch = { ...draft.patch, ids: "row-number" };
    reasons.push({
      heading: null,
      field: id,
      text: "no column names the rows: each is named after its line in the file",
      samples: [],
    });
  }
  if (table === "signals" && !has("site")) {
    questions.push({
      id: "constant site",
      heading: null,
      text: "No column says where the signals were. If they are all from one place, what is it called?",
      samples: [],
      options: [],
      constant: "site",
    });
  }
  if (machines !== null && machines.machines.length > 1 && !has("machine") && !has("settings")) {
    const sets = machines.settings.length > 0
      ? machines.settings.map((each) => ["settings", each.settings] as const)
      : [];
    questions.push({
      id: "constant machine",
      heading: null,
      text: "No column says which machine was in use. If it was one all the time, which?",
      samples: [],
      options: [...machines.machines.map((each) => ["machine", each.machine] as const), ...sets].map((
        [field, value],
      ) => ({
        label: field === "machine" ? value : `settings set ${value}`,
        patch: { constants: { [field]: value } },
      })),
    });
  }
  if (
    (table === "signals" || table === "trials") &&
    !known.some((each) => isReadings(each.field ?? ""))
  ) {
    const fits = draft.facts.filter((each) =>
      each.filled > 0 && fitOf(each, "readings", null) > 0.8 &&
      [...given.columns, ...columns].every((column) =>
        column.heading !== each.heading || column.field == null
      )
    ).filter((each) => given.columns.every((column) => column.heading !== each.heading));
    questions.push({
      id: "readings",
      heading: null,
      text: fits.length === 0
        ? "No column could hold readings of the machine: without them nothing can be learnt from the log."
        : "No heading says plainly that it holds readings. Which column does?",
      samples: fits.slice(0, 6).map((each) => `${each.heading}: ${each.samples.join(", ")}`),
      options: fits.map((each) => ({
        label: JSON.stringify(each.heading),
        patch: { columns: [{ heading: each.heading, field: "readings" }] },
      })),
    });
  }
}

/**
 * Proposes which heading of a foreign log means which field, with a reason and sample values, and how its cells are to
 * be read. Where two answers are as good there is a question instead; `amendMapping` puts an answer into the mapping,
 * which is then `given` for the next proposal. A mapping without questions is ready for `mapTable`.
 *
 * `machines` null leaves names of machines as the log has them.
 *
 * @example
 * ```ts
 * import { proposeMapping, readTable } from "overiron";
 * const text = "Nr,Place,Date,L to R,R to L\n1,Top field,3/4/2025,410 412,x 405\n";
 * const table = await readTable({ name: "log.csv", bytes: new TextEncoder().encode(text) });
 * const { mapping, questions } = proposeMapping(table, null);
 * if (mapping.columns.find((each) => each.heading === "L to R")?.field !== "readings_right") throw new Error("wrong");
 * if (questions[0]?.id !== "order Date") throw new Error("wrong");
 * ```
 */
export function proposeMapping(
  table: Table,
  machines: MachinesFile | null,
  options: ProposeMappingOptions = {},
): MappingProposal {
  const { given = EMPTY } = options;
  const facts = columnFacts(table);
  const draft: Draft = {
    table: given.table ?? options.table ?? tableOf(facts),
    given,
    machines,
    facts,
    columns: [],
    questions: [],
    reasons: [],
    patch: {},
  };
  assign(draft);
  askMissing(draft);
  const all = amendMapping({ ...given, table: draft.table }, { columns: draft.columns });
  const at = new Map(facts.map((each) => [each.heading, each]));
  const inOrder = [...all.columns].sort((a, b) =>
    (at.get(a.heading)?.at ?? -1) - (at.get(b.heading)?.at ?? -1)
  );
  for (const column of inOrder) {
    const own = at.get(column.heading);
    if (own !== undefined && column.field != null) detailColumn(draft, all, column, own);
  }
  proposeReadings(draft, all);
  proposeFinds(draft, all);
  const order = new Map(facts.map((each, i) => [each.heading, i]));
  // What was given stands: it is put on last.
  const proposed = amendMapping({ ...EMPTY, columns: draft.columns }, draft.patch);
  const merged = amendMapping(proposed, given);
  const columns = merged.columns.map((each, i) => [each, order.get(each.heading) ?? facts.length, i] as const)
    .sort(([, a, i], [, b, j]) => a - b || i - j).map(([each]) => each);
  const mapping: ColumnMapping = {
    schema: "overiron-columns/1",
    table: draft.table,
    columns,
    constants: merged.constants,
    ...(merged.ids === undefined ? {} : { ids: merged.ids }),
    empty: merged.empty,
    readings: merged.readings,
    finds: merged.finds,
    rule: given.rule,
  };
  return { mapping, questions: draft.questions, reasons: draft.reasons };
}
