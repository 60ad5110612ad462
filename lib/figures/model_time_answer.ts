import { type Absent, counted } from "../numbers/mod.ts";
import type { LearningTable, ThroughTime } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { say, type Shown, stated } from "./show.ts";

/**
 * Says what an engine that learnt from the early months made of the later ones, against knowing only the early shares of outcomes and against
 * models that learnt from other sites of all months; or why that cannot be told. Months only. Recorded.
 *
 * @example
 * ```ts
 * import { absent, modelTimeAnswer } from "overiron";
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const found = absent("no dates", "12 of 60 signals have no date", { signals: 60, dated: 48 });
 * const { text } = modelTimeAnswer({ machine, discrimination: "none" }, found, { engine: "logistic" });
 * if (!text.includes("no date")) throw new Error(text);
 * ```
 */
export function modelTimeAnswer(
  table: Pick<LearningTable, "machine" | "discrimination">,
  found: ThroughTime | Absent,
  options: { readonly engine: string },
): Shown {
  const { engine } = options, label = tableLabel(table), of = { ...ofTable(table), engine };
  if ("absent" in found) {
    return say`On ${label} there is no run through time: ${stated("model.lateLogLoss", of, found)}.`;
  }
  const { early, late, learntFrom, judged, atKnownSites, logLoss, underBaseRates, aboveOtherSites } = found;
  const span = ([from, to]: readonly [string, string]) => from === to ? from : `${from} to ${to}`;
  const about = { ...of, months: span(late) };
  const clear = (estimate: typeof logLoss) =>
    "value" in estimate && (estimate.interval.low > 0 || estimate.interval.high < 0);
  const helped = clear(underBaseRates)
    ? "value" in underBaseRates && underBaseRates.value > 0
      ? "lower than that of the early shares of the outcomes alone by"
      : "higher than that of the early shares of the outcomes alone; under it by"
    : "not clearly lower than that of the early shares of the outcomes alone: under it by";
  const drifted = !clear(aboveOtherSites)
    ? "No change with time shows"
    : "value" in aboveOtherSites && aboveOtherSites.value > 0
    ? "Something changed with time, or the early part was too small"
    : "The early months did better, as they can where they hold the same sites";
  const short = { form: "interval" } as const;
  return say`On ${label} the ${engine} that learnt from ${
    stated(
      "model.lateSignals",
      { ...of, months: span(early) },
      counted(learntFrom, { signals: learntFrom + judged }),
      {
        form: "value",
      },
    )
  } signals of ${span(early)} judged ${
    stated("model.lateSignals", about, counted(judged, { signals: learntFrom + judged }), { form: "value" })
  } of ${span(late)}, ${
    stated("model.lateAtKnownSites", about, counted(atKnownSites, { signals: judged }), { form: "value" })
  } of them at sites it knew. Its log loss was ${stated("model.lateLogLoss", about, logLoss)}, ${helped} ${
    stated("model.lateUnderBaseRates", about, underBaseRates, short)
  }. ${drifted}: beside models from other sites of all months its loss differs by ${
    stated("model.lateAboveOtherSites", about, aboveOtherSites, short)
  }.`;
}
