import type { RidgeCoefficient } from "../model/mod.ts";
import { drawEstimateRows } from "./_model_rows.ts";
import { columnWords, slug } from "./_model_labels.ts";
import { plainWord } from "./plain_word.ts";

/**
 * Draws the coefficients of the logistic model for one outcome against another, with intervals by site, a row a column of the
 * model, largest first.
 *
 * Across: change in log odds for one standard deviation of the column; the dashed line is "tells nothing". Returns an SVG
 * string; throws RangeError when no coefficient is of that outcome.
 *
 * @example
 * ```ts
 * import { modelCoefficients } from "overiron";
 * let message = "";
 * try {
 *   modelCoefficients([], { machine: "Machine A", outcome: "masked-good" });
 * } catch (error) {
 *   message = (error as Error).message;
 * }
 * if (!message.includes("at least one row")) throw new Error(message);
 * ```
 */
export function modelCoefficients(
  coefficients: readonly RidgeCoefficient[],
  options: { readonly machine: string; readonly outcome: string },
): string {
  const size = ({ logOdds }: RidgeCoefficient) => "value" in logOdds ? Math.abs(logOdds.value) : 0;
  const own = coefficients.filter(({ outcome }) => outcome === options.outcome);
  const rows = [...own].sort((a, b) => size(b) - size(a)).map(({ column, logOdds }) => ({
    label: columnWords(column),
    estimate: logOdds,
    strong: "value" in logOdds && (logOdds.interval.low > 0 || logOdds.interval.high < 0),
  }));
  return drawEstimateRows(rows, {
    name: `model-coefficients-${slug(options.outcome)}-${slug(options.machine)}`,
    axis: "change in log odds for one standard deviation",
    subject: `Coefficients of the logistic model, ${plainWord(options.outcome)} against ${
      own[0]?.against ?? "the first outcome"
    }, ${options.machine}`,
    rule: 0,
  });
}
