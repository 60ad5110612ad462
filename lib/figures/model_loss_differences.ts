import type { EngineDifference } from "../model/mod.ts";
import { drawEstimateRows } from "./_model_rows.ts";
import { slug } from "./_model_labels.ts";

/**
 * Draws by how much each engine is worse than the best one, signal by signal, with its interval by site.
 *
 * Across: difference of log losses in nats a signal; the dashed line is "no worse". `recommended` is drawn as a square of another
 * colour. Returns an SVG string; throws RangeError without an engine.
 *
 * @example
 * ```ts
 * import { modelLossDifferences } from "overiron";
 * let message = "";
 * try {
 *   modelLossDifferences([], { machine: "Machine A" });
 * } catch (error) {
 *   message = (error as Error).message;
 * }
 * if (!message.includes("at least one row")) throw new Error(message);
 * ```
 */
export function modelLossDifferences(
  differences: readonly EngineDifference[],
  options: { readonly machine: string; readonly recommended?: string },
): string {
  const rows = differences.map(({ name, worseBy }) => ({
    label: name,
    estimate: worseBy,
    strong: name === options.recommended,
  }));
  return drawEstimateRows(rows, {
    name: `model-loss-differences-${slug(options.machine)}`,
    axis: "log loss above the best engine's, nats a signal",
    subject:
      `How much worse than the best each of ${rows.length} engines is on unseen sites, ${options.machine}`,
    rule: 0,
    decimals: 3,
  });
}
