import * as Plot from "@observablehq/plot";
import type { CalibrationGroup } from "../model/mod.ts";
import { slug } from "./_model_labels.ts";
import { formatNumber } from "./_text.ts";
import { renderPlot, seriesColors } from "./_svg.ts";

/**
 * Draws how far an engine's chances can be taken at their word: a point a group of signals, across the mean chance given, up the
 * share that was worth a hole, with its interval by site. On the dashed line a chance means what it says.
 *
 * Returns an SVG string; throws RangeError when no group has a share with an interval.
 *
 * @example
 * ```ts
 * import { modelCalibration } from "overiron";
 * let message = "";
 * try {
 *   modelCalibration([], { machine: "Machine A", engine: "forest" });
 * } catch (error) {
 *   message = (error as Error).message;
 * }
 * if (!message.includes("a group with an interval")) throw new Error(message);
 * ```
 */
export function modelCalibration(
  groups: readonly CalibrationGroup[],
  options: { readonly machine: string; readonly engine: string },
): string {
  const points = groups.flatMap(({ signals, given, came }) =>
    "value" in given && "value" in came
      ? [{ signals, given: given.value, came: came.value, low: came.interval.low, high: came.interval.high }]
      : []
  );
  if (points.length === 0) {
    throw new RangeError("Cannot draw calibration: need a group with an interval, got 0");
  }
  const per = (share: number) => `${formatNumber(100 * share, 0)} %`;
  const ticks = [0, 0.25, 0.5, 0.75, 1];
  return renderPlot({
    width: 520,
    height: 440,
    marginRight: 44,
    x: {
      domain: [0, 1],
      ticks,
      tickFormat: per,
      label: "mean chance given of being worth a hole",
      labelAnchor: "center",
      labelArrow: "none",
    },
    y: {
      domain: [0, 1],
      ticks,
      tickFormat: per,
      label: "share that was worth a hole",
      labelArrow: "none",
      grid: true,
    },
    color: { type: "identity" },
    marks: [
      Plot.line([[0, 0], [1, 1]], { stroke: "currentColor", strokeDasharray: "4 3" }),
      Plot.ruleX(points, { x: "given", y1: "low", y2: "high", stroke: seriesColors[0]!, strokeWidth: 3 }),
      Plot.dot(points, { x: "given", y: "came", r: 6, fill: seriesColors[0]! }),
      Plot.text(points, {
        x: "given",
        y: "came",
        text: (point: { readonly signals: number }) => String(point.signals),
        dx: 12,
        textAnchor: "start",
      }),
    ],
  }, {
    name: `model-calibration-${slug(options.machine)}`,
    alt: `Chance given against share worth a hole, ${options.engine}, ${options.machine}. ${
      points.map(({ signals, given, came, low, high }) =>
        `${signals} signals given ${per(given)}: ${per(came)} (${per(low)} to ${per(high)})`
      ).join("; ")
    }.`,
  });
}
