import type { FeatureImportance, LearningTable } from "../model/mod.ts";
import { featureName, ofTable, tableLabel } from "./_model_labels.ts";
import { type Shown, stated, table as showTable } from "./show.ts";

/**
 * Shows how much an engine's log loss grows on unseen sites when a feature is shuffled, a row a feature. Recorded.
 *
 * @example
 * ```ts
 * import { modelImportanceTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * if (modelImportanceTable(table, [], { engine: "forest" }).recorded.results.length !== 0) throw new Error("a number from nothing");
 * ```
 */
export function modelImportanceTable(
  table: LearningTable,
  importances: readonly FeatureImportance[],
  options: { readonly engine: string },
): Shown {
  return showTable({
    caption: `Growth of the log loss when a feature is shuffled, ${options.engine}, ${tableLabel(table)}`,
    columns: ["Feature", "Growth (95 % interval)"],
    rows: importances.map(({ name, lossGrowth }) => [
      featureName(name),
      stated("model.importance", { ...ofTable(table), engine: options.engine, feature: name }, lossGrowth, {
        form: "interval",
      }),
    ]),
  });
}
