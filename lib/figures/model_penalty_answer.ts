import { counted } from "../numbers/mod.ts";
import type { LearningTable, RidgePenalty } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { say, type Shown, stated } from "./show.ts";

/**
 * Says in one sentence how strongly the logistic model is held back, and how that was come by. Recorded.
 *
 * @example
 * ```ts
 * import { modelPenaltyAnswer } from "overiron";
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const chosen = { lambda: 8, tried: [{ lambda: 2, logLoss: 0.7 }, { lambda: 8, logLoss: 0.6 }], reason: "" };
 * const { text } = modelPenaltyAnswer({ machine, discrimination: "none", x: { n: 90 } }, chosen);
 * if (!text.includes("held back by a penalty of 8,")) throw new Error(text);
 * ```
 */
export function modelPenaltyAnswer(
  table: Pick<LearningTable, "machine" | "discrimination"> & { readonly x: { readonly n: number } },
  { lambda, tried }: RidgePenalty,
): Shown {
  const decimals = Number.isInteger(lambda) ? 0 : 3;
  const strength = stated("model.ridgePenalty", ofTable(table), counted(lambda, { signals: table.x.n }), {
    form: "value",
    decimals,
  });
  return tried.length === 0
    ? say`On ${
      tableLabel(table)
    } the model is held back by the usual penalty of ${strength}: it was not chosen on these signals.`
    : say`On ${
      tableLabel(table)
    } the model is held back by a penalty of ${strength}, the one of lowest log loss on inner folds of whole ground.`;
}
