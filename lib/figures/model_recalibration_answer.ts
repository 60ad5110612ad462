import { counted, isPresent } from "../numbers/mod.ts";
import type { BrierParts, Recalibration, TableStudy } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { oneParagraph } from "./_one_paragraph.ts";
import { folded, say, show, type Shown, stated, table as showTable } from "./show.ts";

/**
 * Says whether an engine's chances are used as they are or corrected, and what choosing so brings, and folds the numbers: log loss before
 * and after, the temperature, and the parts of the Brier score. Recorded.
 *
 * @example
 * ```ts
 * import { brierParts, modelRecalibrationAnswer, recalibration } from "overiron";
 * const fold = Int32Array.from({ length: 100 }, (_, i) => i % 4);
 * const outcome = Uint8Array.from({ length: 100 }, (_, i) => Math.floor(i / 4) % 5 === 0 ? 1 : 0);
 * const p = Float64Array.from({ length: 300 }, (_, at) => at % 3 === 0 ? 0.99 : 0.005);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const found = recalibration(p, outcome, { fold, group: fold });
 * const { text } = modelRecalibrationAnswer({ machine, discrimination: "none" as const }, found, { engine: "forest", parts: brierParts(p, outcome, { group: fold }) });
 * if (!text.includes("too sure")) throw new Error(text);
 * ```
 */
export function modelRecalibrationAnswer(
  table: Pick<TableStudy["table"], "machine" | "discrimination">,
  found: Recalibration,
  options: { readonly engine: string; readonly parts: BrierParts },
): Shown {
  const { engine, parts } = options;
  const label = tableLabel(table), of = { ...ofTable(table), engine };
  const change = stated("model.recalibrationChange", of, found.change);
  const { temperature } = found;
  const how = found.method === "isotonic"
    ? "a rising curve"
    : isPresent(temperature)
    ? `one number, a temperature, which finds them ${temperature.value > 1 ? "too sure" : "too shy"}`
    : "one number, a temperature";
  const folds = { folds: found.folds }, few = found.foldsCorrected;
  const chosen = stated("model.foldsCorrected", of, counted(few, folds), { form: "value" });
  const first = found.helps
    ? say`On ${label} the ${engine}'s chances are better corrected by what came out elsewhere (by ${how}): the log loss on what it had not seen changes by ${change}, ${
      isPresent(found.change) && found.change.interval.high < 0
        ? "clearly for the better"
        : "by more than its standard error, if not clearly"
    }. A model learnt from all these signals is corrected so.`
    : say`On ${label} the ${engine}'s chances are best left as they are: a correction by what came out elsewhere (by ${how}) does not lower the log loss on what it had not seen by more than its standard error. It changes by ${change}.`;
  const used = stated("model.recalibrationUsedChange", of, found.usedChange);
  const second = !found.helps
    ? []
    : few === 0
    ? [say`In what follows no chances are corrected: without a fold the others do not speak for it.`]
    : [
      say`Asked anew for each fold, of the other folds alone, ${chosen} of the folds ${
        few === 1 ? "is" : "are"
      } corrected: the log loss of the chances used in what follows changes by ${used}.`,
    ];
  const short = { form: "interval" } as const;
  const step = (is: string) => ({ ...of, chances: is });
  return show(
    oneParagraph(first, ...second),
    folded(
      `How good the chances are in numbers, ${label}`,
      showTable({
        caption:
          `Log loss with and without correction, and the parts of the Brier score, ${engine}, ${label}`,
        columns: ["What", "Value (95 % interval)"],
        rows: [
          [
            "Log loss, chances as they are",
            stated("model.logLoss", step("as they are"), found.before, short),
          ],
          ["Log loss, chances corrected", stated("model.logLoss", step("corrected"), found.after, short)],
          ["Folds corrected, each as the other folds alone speak for it", chosen],
          [
            "Change of the log loss by correcting these",
            stated("model.recalibrationUsedChange", of, found.usedChange, short),
          ],
          ["Temperature (above 1: too sure)", stated("model.temperature", of, temperature, short)],
          ["Brier score", stated("model.brier", of, parts.brier, short)],
          [
            "lost by chances that do not mean what they say",
            stated("model.brierMiscalibration", of, parts.miscalibration, short),
          ],
          [
            "gained by telling signals apart",
            stated("model.brierDiscrimination", of, parts.discrimination, short),
          ],
          ["score of the bare shares", stated("model.brierUncertainty", of, parts.uncertainty, short)],
        ],
      }),
    ),
  );
}
