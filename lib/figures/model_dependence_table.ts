import { FEATURES, type LearningTable, type PartialDependence } from "../model/mod.ts";
import { featureName, ofTable, tableLabel } from "./_model_labels.ts";
import { type Shown, stated, table as showTable } from "./show.ts";
import { formatNumber } from "./_text.ts";

/**
 * Shows how an engine's chances go with one feature, a row a value. Recorded.
 *
 * @example
 * ```ts
 * import { modelDependenceTable } from "overiron";
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const shown = modelDependenceTable({ machine, discrimination: "none" }, { feature: "centre", points: [] }, { engine: "forest" });
 * if (shown.recorded.results.length !== 0) throw new Error("a number from nothing");
 * ```
 */
export function modelDependenceTable(
  table: Pick<LearningTable, "machine" | "discrimination">,
  dependence: PartialDependence,
  options: { readonly engine: string; readonly masked?: boolean },
): Shown {
  const { engine, masked = true } = options;
  const { feature, points } = dependence;
  const unit = FEATURES.find(({ name }) => name === feature)?.unit ?? "";
  const words = featureName(feature);
  return showTable({
    caption: `Mean chance where ${words} is set to one value, ${engine}, ${tableLabel(table)}`,
    columns: [
      `${words}${unit ? `, ${unit}` : ""}`,
      "Worth a hole",
      ...(masked ? ["Masked good"] : []),
    ],
    rows: points.map(({ value, worth, masked: chance }) => {
      const at = formatNumber(value, Number.isInteger(value) ? 0 : 2);
      const of = { ...ofTable(table), engine, feature, value: at };
      return [
        at,
        stated("model.dependence", { ...of, outcome: "worth a hole" }, worth, { form: "interval" }),
        ...(masked
          ? [stated("model.dependence", { ...of, outcome: "masked-good" }, chance, { form: "interval" })]
          : []),
      ];
    }),
  });
}
