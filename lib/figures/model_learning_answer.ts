import { counted } from "../numbers/mod.ts";
import { casesToHalve, type LearningPoint, type TableStudy } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { say, show, type Shown, stated, table as showTable } from "./show.ts";

/**
 * Says what more signals would bring: how many more masked goods would halve the interval of how many of them are recognised (or, where
 * the counts carry no such class, how many more signals that of the share called right), and what that assumes. Recorded.
 *
 * @example
 * ```ts
 * import { modelLearningAnswer, studyTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * const { text } = modelLearningAnswer(await studyTable(table, { seed: 1 }));
 * if (!text.includes("no score")) throw new Error(text);
 * ```
 */
export function modelLearningAnswer(study: TableStudy): Shown {
  const { table, groups, recommendation, scores, allowance } = study;
  const engine = recommendation?.recommended, score = scores.find(({ name }) => name === engine);
  const label = tableLabel(table);
  if (!engine || !score) return say`On ${label} there is no score whose interval could be halved.`;
  const of = { ...ofTable(table), engine };
  const three = allowance.classes === "three";
  const share = three ? score.recall[2]! : score.accuracy;
  const more = casesToHalve(share, { sites: groups });
  const shown = three
    ? stated("model.recall", { ...of, outcome: "masked-good" }, share)
    : stated("model.accuracy", of, share);
  const what = three
    ? say`On ${label} the ${engine} recognises ${shown} of the masked goods.`
    : say`On ${label} what the ${engine} held likeliest came out for ${shown} of the signals.`;
  const cases = three ? "masked goods" : "dug signals";
  const needed = stated(
    "model.casesToHalve",
    { ...of, share: three ? "masked-good recall" : "accuracy" },
    more,
    {
      form: "interval",
      decimals: 0,
    },
  );
  return show(
    what,
    "value" in more
      ? say`About ${needed} more ${cases} would halve that interval, if they come from new ${groups} with as many each, and those differ as these do.`
      : say`How many more ${cases} would halve that interval cannot be told: ${needed}.`,
  );
}

/**
 * Shows a learning curve, a row a share of the sites learnt from. Recorded.
 *
 * @example
 * ```ts
 * import { modelLearningTable } from "overiron";
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const shown = modelLearningTable({ machine, discrimination: "none" }, [], { engine: "forest", groups: "sites" });
 * if (shown.recorded.results.length !== 0) throw new Error("a number from nothing");
 * ```
 */
export function modelLearningTable(
  table: Pick<TableStudy["table"], "machine" | "discrimination">,
  points: readonly LearningPoint[],
  options: { readonly engine: string; readonly groups: "sites" | "outings" },
): Shown {
  const { engine, groups } = options;
  return showTable({
    caption: `Log loss on unseen ${groups} by what was learnt from, ${engine}, ${tableLabel(table)}`,
    columns: [`Share of the other ${groups}`, "Signals, mean", "Masked goods, mean", "Log loss"],
    rows: points.map(({ share, signals, maskedGoods, logLoss }) => {
      const of = { ...ofTable(table), engine, share: `${Math.round(100 * share)} %` };
      const mean = (value: number) => counted(Math.round(value), { [groups]: logLoss.n[groups] ?? 0 });
      return [
        of.share,
        stated("model.learningSignals", { ...of, outcome: "all" }, mean(signals), { form: "value" }),
        stated("model.learningSignals", { ...of, outcome: "masked-good" }, mean(maskedGoods), {
          form: "value",
        }),
        stated("model.learningLoss", of, logLoss, { form: "interval" }),
      ];
    }),
  });
}
