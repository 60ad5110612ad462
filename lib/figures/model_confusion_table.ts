import { studyConfusion, type TableStudy } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { type Shown, tally } from "./show.ts";

/**
 * Shows the confusion matrix of one engine of a study as counts: a row an outcome, a column what the engine held likeliest.
 * Recorded as the table `model.confusion`. Throws RangeError for an engine without a score.
 */
export function modelConfusionTable(study: TableStudy, engine: string): Shown {
  const { outcomes, counts } = studyConfusion(study, engine);
  return tally({
    id: "model.confusion",
    of: { ...ofTable(study.table), engine },
    unit: "signals",
    caption: `Outcome against what the ${engine} held likeliest, ${tableLabel(study.table)}`,
    rowTitle: "Outcome",
    rows: outcomes,
    columns: outcomes,
    counts,
  });
}
