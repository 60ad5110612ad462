import type { TableStudy } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { show, type Shown, type Stated, stated, table as showTable } from "./show.ts";

/**
 * Shows every engine of a study on the same unseen sites in two tables, a row an engine, from the simplest: how good its
 * probabilities are (log loss, Brier score, areas under the ROC curve), and how good its calls are (how often the likeliest
 * class came out, recall and precision of each class that the counts can carry). All numbers are recorded.
 */
export function modelEngineTable(study: TableStudy): Shown {
  const { table, scores, recommendation, groups } = study;
  const about = ofTable(table), label = tableLabel(table);
  const short = { form: "interval" } as const;
  const named = (name: string) => name === recommendation?.recommended ? `${name} (recommended)` : name;
  const probabilities = scores.map((score): (Stated | string)[] => {
    const of = { ...about, engine: score.name };
    const difference = recommendation?.differences.find(({ name }) => name === score.name);
    return [
      named(score.name),
      stated("model.logLoss", of, score.logLoss, short),
      difference === undefined
        ? "second opinion, not compared"
        : score.name === recommendation!.best
        ? "the best"
        : stated("model.lossDifference", { ...of, against: recommendation!.best }, difference.worseBy, short),
      stated("model.brier", of, score.brier, short),
      stated("model.worthArea", of, score.worthArea, short),
      stated("model.maskedArea", of, score.maskedArea, short),
    ];
  });
  const calls = scores.map((score): (Stated | string)[] => {
    const of = { ...about, engine: score.name };
    return [
      named(score.name),
      stated("model.accuracy", of, score.accuracy, short),
      ...score.classes.flatMap((outcome, k) => [
        stated("model.recall", { ...of, outcome }, score.recall[k]!, short),
        stated("model.precision", { ...of, outcome }, score.precision[k]!, short),
      ]),
    ];
  });
  const classes = scores[0]?.classes ?? [];
  return show(
    showTable({
      caption:
        `Probabilities on ${groups} not seen, ${label}: lower log loss and Brier score are better, and higher shares of pairs`,
      columns: [
        "Engine",
        "Log loss",
        "Above the best",
        "Brier score",
        "Goods ranked above ferrous",
        "Masked goods ranked above ferrous",
      ],
      rows: probabilities,
    }),
    showTable({
      caption: `Calls on ${groups} not seen, ${label}`,
      columns: [
        "Engine",
        "Likeliest came out",
        ...classes.flatMap((name) => [`${name}: recognised`, `${name}: right when called`]),
      ],
      rows: calls,
    }),
  );
}
