import type { MachinesFile } from "./machines.ts";
import { type ColumnMapping, columnMappingSchema } from "./mapping.ts";
import { amendMapping, type MappingPatch } from "./amend_mapping.ts";
import {
  type MappingProposal,
  type MappingQuestion,
  proposeMapping,
  type ProposeMappingOptions,
} from "./propose_mapping.ts";
import type { Table } from "./table.ts";

export interface MatchColumnsOptions extends ProposeMappingOptions {
  /** Answers a question with lines for the mapping, or null to stop asking. Without it nothing is asked. */
  readonly ask?: (question: MappingQuestion, proposal: MappingProposal) => Promise<MappingPatch | null>;
}

const MOST_QUESTIONS = 1000;

/**
 * Proposes a mapping for a foreign log and asks, one question at a time, where two answers are as good. Each answer may
 * settle others or raise new ones: the proposal is made again from what has been said.
 *
 * The result holds the questions that are still open: none after every one was answered, unless the log lacks readings.
 *
 * @example
 * ```ts
 * import { matchColumns, readTable } from "overiron";
 * const text = "Nr,Place,Date,L to R,R to L\n1,Top field,3/4/2025,410 412,x 405\n";
 * const table = await readTable({ name: "log.csv", bytes: new TextEncoder().encode(text) });
 * const { mapping, questions } = await matchColumns(table, null, {
 *   ask: (question) => Promise.resolve(question.options[0]!.patch),
 * });
 * if (questions.length > 0) throw new Error("wrong");
 * if (mapping.columns.find((each) => each.field === "date")?.order !== "day-month-year") throw new Error("wrong");
 * ```
 */
export async function matchColumns(
  table: Table,
  machines: MachinesFile | null,
  options: MatchColumnsOptions = {},
): Promise<MappingProposal> {
  const { ask, ...rest } = options;
  let proposal = proposeMapping(table, machines, rest);
  if (ask === undefined) return proposal;
  let given: ColumnMapping = rest.given ?? columnMappingSchema.parse({ schema: "overiron-columns/1" });
  for (let i = 0; proposal.questions.length > 0 && i < MOST_QUESTIONS; i++) {
    // One without answers can only be told: the log lacks something.
    const question = proposal.questions.find((each) =>
      each.options.length > 0 || each.constant !== undefined
    );
    if (question === undefined) return proposal;
    const patch = await ask(question, proposal);
    if (patch === null) return proposal;
    given = amendMapping(given, patch);
    proposal = proposeMapping(table, machines, { ...rest, given });
    if (proposal.questions.some((each) => each.id === question.id)) {
      throw new Error(`Answer to ${JSON.stringify(question.id)} settled nothing`);
    }
  }
  return proposal;
}

const line = (value: unknown): string => JSON.stringify(value, null, 1)!.replace(/\n\s*/g, " ");

/** The lines that an answer adds to a mapping file, as a person would paste them. */
export function patchLines(patch: MappingPatch): readonly string[] {
  return Object.entries(patch).flatMap(([key, value]) => {
    if (value === undefined) return [];
    if (key === "columns" || key === "finds") {
      return (value as readonly unknown[]).map((each) => `in "${key}": ${line(each)}`);
    }
    return typeof value === "object" && !Array.isArray(value)
      ? Object.entries(value).map(([name, each]) => `in "${key}": ${line(name)}: ${line(each)}`)
      : [`"${key}": ${line(value)}`];
  });
}

/** Open questions as a script prints them: what to add to the mapping file for each answer. */
export function questionsText(questions: readonly MappingQuestion[]): string {
  return questions.map((question) => {
    const samples = question.samples.length === 0 ? "" : ` (as in ${question.samples.map(line).join(", ")})`;
    if (question.id.startsWith("word ")) {
      const to = question.options.flatMap((each) => Object.values(each.patch.columns?.[0]?.words ?? {}));
      const slip = question.options.flatMap((each) =>
        each.patch.columns?.[0]?.refuse === undefined
          ? []
          : [`\n  ${each.label}:\n    ${patchLines(each.patch)[0]}`]
      ).join("");
      const entry = question.options[0]!.patch.columns![0]!;
      const words = Object.fromEntries(Object.keys(entry.words ?? {}).map((each) => [each, "..."]));
      return `${question.text}${samples}\n  for the points one of ${
        to.map(line).join(", ")
      }:\n    in "columns": ${line({ ...entry, words })}${slip}`;
    }
    const answers = question.options.flatMap(({ label, patch }) => [
      `  ${label}:`,
      ...patchLines(patch).map((each) => `    ${each}`),
    ]);
    if (question.constant !== undefined) {
      answers.push(`  write it once for every row:`, `    in "constants": ${line(question.constant)}: "..."`);
    }
    return [`${question.text}${samples}`, ...answers].join("\n");
  }).join("\n\n");
}
