import type { LearningTable, RidgeCoefficient } from "../model/mod.ts";
import { columnWords, ofTable, tableLabel } from "./_model_labels.ts";
import { formatNumber } from "./_text.ts";
import { plainWord } from "./plain_word.ts";
import { type Shown, type Stated, stated, table as showTable } from "./show.ts";

/**
 * Shows the coefficients of the logistic model with standard errors and intervals, a row a column of the model and outcome.
 * Coefficients and what one standard deviation is are recorded.
 *
 * @example
 * ```ts
 * import { modelCoefficientTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * if (modelCoefficientTable(table, []).recorded.results.length !== 0) throw new Error("a number from nothing");
 * ```
 */
export function modelCoefficientTable(
  table: LearningTable,
  coefficients: readonly RidgeCoefficient[],
): Shown {
  const rows = coefficients.map(
    ({ column, outcome, against, logOdds, standardError }): (Stated | string)[] => {
      const of = { ...ofTable(table), column, outcome, against };
      return [
        columnWords(column),
        `${plainWord(outcome)} against ${against}`,
        stated("model.coefficient", of, logOdds, { form: "interval", decimals: 2 }),
        formatNumber(standardError, 2),
      ];
    },
  );
  return showTable({
    caption: `Change in log odds for one standard deviation, everything else equal, ${tableLabel(table)}`,
    columns: ["Column", "Outcome", "Change (95 % interval)", "Standard error"],
    rows,
  });
}
