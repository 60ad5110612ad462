import * as Plot from "@observablehq/plot";
import type { LearningPoint } from "../model/mod.ts";
import { slug } from "./_model_labels.ts";
import { renderPlot, seriesColors } from "./_svg.ts";
import { formatNumber } from "./_text.ts";

/**
 * Draws how an engine's log loss on unseen sites goes with the number of signals it learnt from, with intervals by site.
 *
 * Returns an SVG string; throws RangeError where no point has a log loss.
 *
 * @example
 * ```ts
 * import { modelLearningCurve } from "overiron";
 * let message = "";
 * try {
 *   modelLearningCurve([], { machine: "Machine A", engine: "forest" });
 * } catch (error) {
 *   message = (error as Error).message;
 * }
 * if (!message.includes("a point with a log loss")) throw new Error(message);
 * ```
 */
export function modelLearningCurve(
  points: readonly LearningPoint[],
  options: { readonly machine: string; readonly engine: string },
): string {
  const dots = points.flatMap(({ signals, logLoss }) =>
    "value" in logLoss
      ? [{ signals, loss: logLoss.value, low: logLoss.interval.low, high: logLoss.interval.high }]
      : []
  );
  if (dots.length === 0) {
    throw new RangeError("Cannot draw learning curve: need a point with a log loss, got 0");
  }
  return renderPlot({
    width: 720,
    height: 290,
    x: {
      domain: [0, 1.08 * Math.max(...dots.map(({ signals }) => signals))],
      ticks: 6,
      label: "signals learnt from",
      labelAnchor: "center",
      labelArrow: "none",
    },
    y: {
      domain: [
        Math.max(0, Math.min(...dots.map(({ low }) => low)) - 0.05),
        Math.max(...dots.map(({ high }) => high)) + 0.05,
      ],
      ticks: 5,
      label: "log loss on unseen sites, nats",
      labelArrow: "none",
      grid: true,
    },
    marks: [
      Plot.line(dots, { x: "signals", y: "loss", stroke: seriesColors[0]!, strokeWidth: 2 }),
      Plot.ruleX(dots, { x: "signals", y1: "low", y2: "high", stroke: seriesColors[0]!, strokeWidth: 3 }),
      Plot.dot(dots, { x: "signals", y: "loss", r: 6, fill: seriesColors[0]! }),
    ],
  }, {
    name: `model-learning-curve-${slug(options.machine)}`,
    alt:
      `Log loss of the ${options.engine} on unseen sites against signals learnt from, ${options.machine}. ${
        dots.map(({ signals, loss, low, high }) =>
          `${formatNumber(signals, 0)} signals: ${formatNumber(loss, 2)} (${formatNumber(low, 2)} to ${
            formatNumber(high, 2)
          })`
        ).join("; ")
      }.`,
  });
}
