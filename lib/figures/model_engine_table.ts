import type { TableStudy } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { plainWord } from "./plain_word.ts";
import { show, type Shown, type Stated, stated, table as showTable } from "./show.ts";

/**
 * Shows every engine of a study on the same unseen sites in two tables, a row an engine, from the simplest: how good its
 * probabilities are (log loss, Brier score, areas under the ROC curve), and how good its calls are (how often the likeliest
 * class came out, recall and precision of each class that the counts can carry). All numbers are recorded.
 *
 * @example
 * ```ts
 * import { modelEngineTable, studyTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * const study = await studyTable(table, { seed: 1 });
 * if (modelEngineTable(study).recorded.results.length !== 0) throw new Error("no engine, no number");
 * ```
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
        ...classes.map(plainWord).flatMap((name) => [`${name}: recognised`, `${name}: right when called`]),
      ],
      rows: calls,
    }),
  );
}
