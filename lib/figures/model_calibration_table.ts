import { counted } from "../numbers/mod.ts";
import type { CalibrationGroup, LearningTable } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { type Shown, stated, table as showTable } from "./show.ts";

/** Shows the chances an engine gave of being worth a hole beside how often it was so, a row a group of signals. Recorded. */
export function modelCalibrationTable(
  table: LearningTable,
  groups: readonly CalibrationGroup[],
  options: { readonly engine: string },
): Shown {
  return showTable({
    caption: `Chance given and share worth a hole, ${options.engine}, ${tableLabel(table)}`,
    columns: ["Group, by chance given", "Mean chance given", "Share worth a hole"],
    rows: groups.map(({ signals, given, came }, i) => {
      const of = { ...ofTable(table), engine: options.engine, group: `${i + 1} of ${groups.length}` };
      const mean = "value" in given ? counted(given.value, { signals }) : given;
      return [
        of.group,
        stated("model.meanChance", of, mean, { decimals: 0 }),
        stated("model.calibration", of, came),
      ];
    }),
  });
}
