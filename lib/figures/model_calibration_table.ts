import { counted } from "../numbers/mod.ts";
import type { CalibrationGroup, LearningTable } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { narrow, whyAbsent } from "./_narrow.ts";
import { type Shown, table as showTable } from "./show.ts";

/**
 * Shows the chances an engine gave of being worth a hole beside how often it was so, a row a group of signals. Recorded.
 *
 * @example
 * ```ts
 * import { modelCalibrationTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * if (modelCalibrationTable(table, [], { engine: "forest" }).recorded.results.length !== 0) throw new Error("a number from nothing");
 * ```
 */
export function modelCalibrationTable(
  table: LearningTable,
  groups: readonly CalibrationGroup[],
  options: { readonly engine: string },
): Shown {
  return showTable({
    caption: `Chance given and share worth a hole, ${options.engine}, ${tableLabel(table)}${
      whyAbsent(groups.flatMap(({ given, came }) => [given, came]))
    }`,
    columns: ["Group, by chance given", "Mean chance given", "Share worth a hole"],
    rows: groups.map(({ signals, given, came }, i) => {
      const of = { ...ofTable(table), engine: options.engine, group: `${i + 1} of ${groups.length}` };
      const mean = "value" in given ? counted(given.value, { signals }) : given;
      return [
        of.group,
        narrow("model.meanChance", of, mean, { decimals: 0 }),
        narrow("model.calibration", of, came),
      ];
    }),
  });
}
