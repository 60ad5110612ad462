import { counted } from "../numbers/mod.ts";
import type { LearningTable, Miss } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { plainWord } from "./plain_word.ts";
import { say, type Shown, stated, table as showTable } from "./show.ts";

/**
 * Shows the signals whose outcome an engine held least likely, worst first, with their readings as written. Chances are recorded.
 *
 * @example
 * ```ts
 * import { modelMissTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * if (modelMissTable(table, [], { engine: "forest" }).recorded.results.length !== 0) throw new Error("a number from nothing");
 * ```
 */
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
      plainWord(called),
      plainWord(outcome),
      stated(
        "model.missedChance",
        { ...ofTable(table), engine: options.engine, signal },
        counted(chance, { signals: 1 }),
        { form: "value", decimals: 0 },
      ),
    ]),
  });
}
