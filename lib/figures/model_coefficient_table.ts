import type { LearningTable, RidgeCoefficient } from "../model/mod.ts";
import { ofTable, tableLabel } from "./_model_labels.ts";
import { formatNumber } from "./_text.ts";
import { type Shown, type Stated, stated, table as showTable } from "./show.ts";

/**
 * Shows the coefficients of the logistic model with standard errors and intervals, a row a column of the model and outcome.
 * Coefficients and what one standard deviation is are recorded.
 */
export function modelCoefficientTable(
  table: LearningTable,
  coefficients: readonly RidgeCoefficient[],
): Shown {
  const rows = coefficients.map(
    ({ column, outcome, against, logOdds, standardError }): (Stated | string)[] => {
      const of = { ...ofTable(table), column, outcome, against };
      return [
        column,
        `${outcome} against ${against}`,
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
