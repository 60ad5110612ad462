import type { DugDifference, SignalTable } from "../model/mod.ts";
import { featureName, ofTable, tableLabel } from "./_model_labels.ts";
import { narrow, whyAbsent } from "./_narrow.ts";
import { type Shown, table as showTable } from "./show.ts";

/**
 * Shows how the dug signals differ from those passed by, a row a feature: how often a dug one has the higher value. Recorded.
 *
 * @example
 * ```ts
 * import { modelDugTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * if (modelDugTable(table, []).recorded.results.length !== 0) throw new Error("a number from nothing");
 * ```
 */
export function modelDugTable(table: SignalTable, differences: readonly DugDifference[]): Shown {
  return showTable({
    caption: `How often a dug signal has the higher value than one passed by, ${
      tableLabel(table)
    }: half is no difference${whyAbsent(differences.map(({ dugHigher }) => dugHigher))}`,
    columns: ["Feature", "Dug higher"],
    rows: differences.map(({ feature, dugHigher }) => [
      featureName(feature),
      narrow("model.dugHigherChance", { ...ofTable(table), feature }, dugHigher),
    ]),
  });
}
