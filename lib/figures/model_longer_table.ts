import type { LearningTable, LongerSwept } from "../model/mod.ts";
import { featureName, ofTable, tableLabel } from "./_model_labels.ts";
import { type Shown, stated, table as showTable } from "./show.ts";

/**
 * Shows whether features grow with how long a signal was swept, a row a feature: how often the signal swept longer has the higher value,
 * among ferrous ones. Recorded.
 *
 * @example
 * ```ts
 * import { modelLongerTable } from "overiron";
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * if (modelLongerTable({ machine, discrimination: "none" }, []).recorded.results.length !== 0) throw new Error("a number from nothing");
 * ```
 */
export function modelLongerTable(
  table: Pick<LearningTable, "machine" | "discrimination">,
  growths: readonly LongerSwept[],
): Shown {
  return showTable({
    caption: `How often, of two ferrous signals, the one swept longer has the higher value, ${
      tableLabel(table)
    }: half is no growth`,
    columns: ["Feature", "Swept longer, higher"],
    rows: growths.map(({ feature, longerHigher }) => [
      featureName(feature),
      stated("model.longerHigherChance", { ...ofTable(table), feature }, longerHigher),
    ]),
  });
}
