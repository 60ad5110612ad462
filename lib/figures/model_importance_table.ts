import type { FeatureImportance, LearningTable } from "../model/mod.ts";
import { featureWords, ofTable, tableLabel } from "./_model_labels.ts";
import { type Shown, stated, table as showTable } from "./show.ts";

/** Shows how much an engine's log loss grows on unseen sites when a feature is shuffled, a row a feature. Recorded. */
export function modelImportanceTable(
  table: LearningTable,
  importances: readonly FeatureImportance[],
  options: { readonly engine: string },
): Shown {
  return showTable({
    caption: `Growth of the log loss when a feature is shuffled, ${options.engine}, ${tableLabel(table)}`,
    columns: ["Feature", "Growth (95 % interval)"],
    rows: importances.map(({ name, lossGrowth }) => [
      featureWords[name] ?? name,
      stated("model.importance", { ...ofTable(table), engine: options.engine, feature: name }, lossGrowth, {
        form: "interval",
      }),
    ]),
  });
}
