import type { EngineScore } from "../model/mod.ts";
import { slug } from "./_model_labels.ts";
import { drawEstimateRows } from "./_model_rows.ts";

/**
 * Draws the log loss of every engine on signals it had not seen, with its interval by site, a row an engine.
 *
 * Across: log loss in nats a signal, lower is better. `recommended` is drawn as a square of another colour. `machine` goes into
 * the name and the alternative text. Returns an SVG string; throws RangeError without an engine.
 *
 * @example
 * ```ts
 * import { modelLogLosses } from "overiron";
 * let message = "";
 * try {
 *   modelLogLosses([], { machine: "Machine A" });
 * } catch (error) {
 *   message = (error as Error).message;
 * }
 * if (!message.includes("at least one row")) throw new Error(message);
 * ```
 */
export function modelLogLosses(
  scores: readonly Pick<EngineScore, "name" | "logLoss">[],
  options: { readonly machine: string; readonly recommended?: string },
): string {
  const rows = scores.map(({ name, logLoss }) => ({
    label: name,
    estimate: logLoss,
    strong: name === options.recommended,
  }));
  return drawEstimateRows(rows, {
    name: `model-log-losses-${slug(options.machine)}`,
    axis: "log loss, nats a signal (lower is better)",
    subject: `Log loss of ${scores.length} engines on unseen sites, ${options.machine}`,
  });
}
