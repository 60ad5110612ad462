import { outcomeCountsOf, OUTCOMES, type TableStudy } from "../model/mod.ts";
import { tableLabel } from "./_model_labels.ts";
import { plainWord } from "./plain_word.ts";
import { type Shown, tally } from "./show.ts";

/**
 * Shows what each machine and setting gives to learn from: dug signals of each outcome, and beside them the signals that teach
 * nothing, by what is known of them. Recorded as the table `model.signals`.
 *
 * @example
 * ```ts
 * import { modelCountsTable } from "overiron";
 * if (modelCountsTable([]).recorded.tables[0]!.n !== 0) throw new Error("counts from nothing");
 * ```
 */
export function modelCountsTable(studies: readonly TableStudy[]): Shown {
  const left = ["unknown", "nothing-found", "stopped", "hazard", "not-dug"] as const;
  return tally({
    id: "model.signals",
    unit: "signals",
    caption: "Signals to learn from (the first three columns), and signals that teach nothing",
    rowTitle: "Machine and setting",
    rows: studies.map(({ table }) => tableLabel(table)),
    columns: [...OUTCOMES, ...left].map(plainWord),
    counts: studies.map(({ table }) => [
      ...outcomeCountsOf(table.outcome),
      ...left.map((status) => table.leftOut[status]),
    ]),
  });
}
