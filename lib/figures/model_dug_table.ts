import type { DugDifference, SignalTable } from "../model/mod.ts";
import { featureWords, ofTable, tableLabel } from "./_model_labels.ts";
import { type Shown, stated, table as showTable } from "./show.ts";

/** Shows how the dug signals differ from those passed by, a row a feature: how often a dug one has the higher value. Recorded. */
export function modelDugTable(table: SignalTable, differences: readonly DugDifference[]): Shown {
  return showTable({
    caption: `How often a dug signal has the higher value than one passed by, ${
      tableLabel(table)
    }: half is no difference`,
    columns: ["Feature", "Dug higher"],
    rows: differences.map(({ feature, dugHigher }) => [
      featureWords[feature] ?? feature,
      stated("model.dugHigherChance", { ...ofTable(table), feature }, dugHigher),
    ]),
  });
}
