import { counted } from "../numbers/mod.ts";
import type { LearningTable, Miss } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { say, type Shown, stated, table as showTable } from "./show.ts";

/** Shows the signals whose outcome an engine held least likely, worst first, with their readings as written. Chances are recorded. */
export function modelMissTable(
  table: LearningTable,
  misses: readonly Miss[],
  options: { readonly engine: string },
): Shown {
  if (misses.length === 0) {
    return say`The ${options.engine} missed none of these signals on ${tableLabel(table)}.`;
  }
  return showTable({
    caption: `The ${options.engine}'s worst misses, ${
      tableLabel(table)
    }: readings as written, x a pass without a number`,
    columns: ["Signal", "Right", "Left", "Cross", "Held likeliest", "Came out", "Chance given to it"],
    rows: misses.map(({ signal, outcome, called, chance, readings }) => [
      signal,
      ...readings,
      called,
      outcome,
      stated(
        "model.missedChance",
        { ...ofTable(table), engine: options.engine, signal },
        counted(chance, { signals: 1 }),
        { form: "value", decimals: 0 },
      ),
    ]),
  });
}
