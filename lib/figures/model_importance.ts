import type { FeatureImportance } from "../model/mod.ts";
import { featureName, slug } from "./_model_labels.ts";
import { drawEstimateRows } from "./_model_rows.ts";

/**
 * Draws how much an engine's log loss grows on unseen sites when a feature is shuffled, with intervals by site, largest first.
 *
 * Across: nats a signal; the dashed line is "makes no use of it". Squares are clear of it. Returns an SVG string; throws
 * RangeError without a feature.
 *
 * @example
 * ```ts
 * import { modelImportance } from "overiron";
 * let message = "";
 * try {
 *   modelImportance([], { machine: "Machine A", engine: "forest" });
 * } catch (error) {
 *   message = (error as Error).message;
 * }
 * if (!message.includes("at least one row")) throw new Error(message);
 * ```
 */
export function modelImportance(
  importances: readonly FeatureImportance[],
  options: { readonly machine: string; readonly engine: string },
): string {
  const size = ({ lossGrowth }: FeatureImportance) => "value" in lossGrowth ? lossGrowth.value : -Infinity;
  const rows = [...importances].sort((a, b) => size(b) - size(a)).map(({ name, lossGrowth }) => ({
    label: featureName(name),
    estimate: lossGrowth,
    strong: "value" in lossGrowth && lossGrowth.interval.low > 0,
  }));
  return drawEstimateRows(rows, {
    name: `model-importance-${slug(options.machine)}`,
    axis: "growth of the log loss when shuffled, nats a signal",
    subject: `How much the ${options.engine} relies on each feature on unseen sites, ${options.machine}`,
    rule: 0,
    decimals: 3,
  });
}
