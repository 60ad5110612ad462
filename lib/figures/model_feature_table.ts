import type { FeatureSays, LearningTable } from "../model/mod.ts";
import { featureName, ofTable, tableLabel } from "./_model_labels.ts";
import { type Shown, type Stated, stated, table as showTable } from "./show.ts";

/**
 * Shows what features say about the hole, a row a feature: the median for each outcome, and the chance that a signal of one kind
 * has the higher value than one of another (half: tells nothing). Medians and chances are recorded.
 *
 * @example
 * ```ts
 * import { modelFeatureTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * if (modelFeatureTable(table, []).recorded.results.length !== 0) throw new Error("a number from nothing");
 * ```
 */
export function modelFeatureTable(table: LearningTable, says: readonly FeatureSays[]): Shown {
  const about = ofTable(table);
  const short = { form: "interval" } as const;
  const rows = says.map((each): (Stated | string)[] => {
    const chance = (pair: string, estimate: FeatureSays["goodAboveFerrous"]) =>
      stated("model.higherChance", { ...about, feature: each.feature, pair }, estimate, short);
    return [
      `${featureName(each.feature)} (${each.unit})`,
      ...each.outcomes.map(({ outcome, median }) =>
        stated(`model.${each.feature}Median`, { ...about, outcome }, median, short)
      ),
      chance("good above ferrous", each.goodAboveFerrous),
      chance("masked good above ferrous", each.maskedAboveFerrous),
      chance("masked good above other non-ferrous", each.maskedAbovePlain),
    ];
  });
  return showTable({
    caption: `Medians by outcome, and how often the higher value was the one named first, ${
      tableLabel(table)
    }`,
    columns: [
      "Feature",
      "Median, ferrous",
      "Median, non-ferrous",
      "Median, masked good",
      "Good above ferrous",
      "Masked good above ferrous",
      "Masked good above other non-ferrous",
    ],
    rows,
  });
}
