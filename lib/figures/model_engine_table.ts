import { OUTCOMES, type TableStudy } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { type Shown, type Stated, stated, table as showTable } from "./show.ts";

/**
 * Shows every engine of a study on the same unseen sites, a row an engine, from the simplest: log loss, Brier score, how often
 * the likeliest outcome came out, and recall and precision of each outcome that the counts can carry. All numbers are recorded.
 */
export function modelEngineTable(study: TableStudy): Shown {
  const { table, scores, recommendation, allowance, groups } = study;
  const about = ofTable(table);
  const outcomes = allowance.classes === "three" ? OUTCOMES : OUTCOMES.slice(0, 1);
  const short = { form: "interval" } as const;
  const rows = scores.map((score): (Stated | string)[] => {
    const of = { ...about, engine: score.name };
    const difference = recommendation?.differences.find(({ name }) => name === score.name);
    return [
      score.name === recommendation?.recommended ? `${score.name} (recommended)` : score.name,
      stated("model.logLoss", of, score.logLoss, short),
      difference === undefined || score.name === recommendation?.best
        ? difference === undefined ? "second opinion, not compared" : "the best"
        : stated("model.lossDifference", { ...of, against: recommendation!.best }, difference.worseBy, short),
      stated("model.brier", of, score.brier, short),
      stated("model.accuracy", of, score.accuracy, short),
      ...outcomes.flatMap((outcome, k) => [
        stated("model.recall", { ...of, outcome }, score.recall[k]!, short),
        stated("model.precision", { ...of, outcome }, score.precision[k]!, short),
      ]),
    ];
  });
  return showTable({
    caption: `Engines on ${groups} they had not seen, ${
      tableLabel(table)
    }: lower log loss and Brier score are better`,
    columns: [
      "Engine",
      "Log loss",
      "Above the best",
      "Brier score",
      "Likeliest came out",
      ...outcomes.flatMap((outcome) => [`${outcome}: recognised`, `${outcome}: right when called`]),
    ],
    rows,
  });
}
