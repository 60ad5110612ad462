import { studyConfusion, type TableStudy } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { plainWord } from "./plain_word.ts";
import { type Shown, tally } from "./show.ts";

/**
 * Shows the confusion matrix of one engine of a study as counts: a row an outcome, a column what the engine held likeliest.
 * Recorded as the table `model.confusion`. Throws RangeError for an engine without a score.
 *
 * @example
 * ```ts
 * import { modelConfusionTable, studyTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * const study = await studyTable(table, { seed: 1 });
 * let message = "";
 * try {
 *   modelConfusionTable(study, "forest");
 * } catch (error) {
 *   message = (error as Error).message;
 * }
 * if (!message.includes("must have a score")) throw new Error(message);
 * ```
 */
export function modelConfusionTable(study: TableStudy, engine: string): Shown {
  const { outcomes, counts } = studyConfusion(study, engine);
  return tally({
    id: "model.confusion",
    of: { ...ofTable(study.table), engine },
    unit: "signals",
    caption: `Outcome against what the ${engine} held likeliest, ${tableLabel(study.table)}`,
    rowTitle: "Outcome",
    rows: outcomes.map(plainWord),
    columns: outcomes.map(plainWord),
    counts,
  });
}
