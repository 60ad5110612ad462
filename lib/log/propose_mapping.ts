import { amendMapping } from "./amend_mapping.ts";
import { askMissing } from "./_ask_missing.ts";
import { assignHeadings, tableOf } from "./_assign_headings.ts";
import { columnFacts } from "./_column_facts.ts";
import type { MachinesFile } from "./machines.ts";
import { type ColumnMapping, columnMappingSchema } from "./mapping.ts";
import { detailColumn } from "./_propose_details.ts";
import { proposeFinds } from "./_propose_finds.ts";
import { proposeReadings } from "./_propose_readings.ts";
import type { Draft, MappingProposal, ProposeMappingOptions } from "./_proposal.ts";
import type { Table } from "./table.ts";

export type { MappingProposal, MappingQuestion, MappingReason, ProposeMappingOptions } from "./_proposal.ts";

const EMPTY: ColumnMapping = columnMappingSchema.parse({ schema: "overiron-columns/1" });

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
  assignHeadings(draft);
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
