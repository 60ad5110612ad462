import * as Plot from "@observablehq/plot";
import { FEATURES, type PartialDependence } from "../model/mod.ts";
import { featureName, slug } from "./_model_labels.ts";
import { renderPlot, seriesColors } from "./_svg.ts";
import { formatNumber } from "./_text.ts";

const LINES = [
  { key: "worth", label: "worth a hole", color: seriesColors[0]!, dash: undefined },
  { key: "masked", label: "masked good", color: seriesColors[1]!, dash: "7 4" },
] as const;

/**
 * Draws how an engine's chances go with one feature, everything else left as it was: across the feature, up the mean chance of being
 * worth a hole (full line) and of being a masked good (broken), with bands by site.
 *
 * Returns an SVG string; throws RangeError where no value has a chance.
 *
 * @example
 * ```ts
 * import { modelDependence } from "overiron";
 * let message = "";
 * try {
 *   modelDependence({ feature: "centre", points: [] }, { machine: "Machine A", engine: "forest" });
 * } catch (error) {
 *   message = (error as Error).message;
 * }
 * if (!message.includes("a value with a chance")) throw new Error(message);
 * ```
 */
export function modelDependence(
  dependence: PartialDependence,
  options: { readonly machine: string; readonly engine: string; readonly masked?: boolean },
): string {
  const { machine, engine, masked = true } = options;
  const { feature, points } = dependence;
  const drawn = LINES.filter(({ key }) => masked || key === "worth").map((line) => ({
    ...line,
    dots: points.flatMap(({ value, [line.key]: chance }) =>
      "value" in chance
        ? [{ value, chance: chance.value, low: chance.interval.low, high: chance.interval.high }]
        : []
    ),
  })).filter(({ dots }) => dots.length > 0);
  if (drawn.length === 0) throw new RangeError("Cannot draw dependence: need a value with a chance, got 0");
  const words = featureName(feature);
  const unit = FEATURES.find(({ name }) => name === feature)?.unit ?? "";
  const per = (share: number) => `${formatNumber(100 * share, 0)} %`;
  return renderPlot({
    width: 720,
    height: 300,
    x: { label: `${words}${unit ? `, ${unit}` : ""}`, labelAnchor: "center", labelArrow: "none", ticks: 6 },
    y: {
      domain: [0, 1],
      ticks: [0, 0.25, 0.5, 0.75, 1],
      tickFormat: per,
      label: "mean chance given",
      labelArrow: "none",
      grid: true,
    },
    marks: drawn.flatMap(({ dots, color, dash }) => [
      Plot.areaY(dots, { x: "value", y1: "low", y2: "high", fill: color, fillOpacity: 0.16 }),
      Plot.line(dots, {
        x: "value",
        y: "chance",
        stroke: color,
        strokeWidth: 2.5,
        ...(dash ? { strokeDasharray: dash } : {}),
      }),
      Plot.dot(dots, { x: "value", y: "chance", r: 3.5, fill: color }),
    ]),
  }, {
    name: `model-dependence-${slug(machine)}-${slug(feature)}`,
    alt: `Mean chances of the ${engine} where ${words} is set to one value, ${machine}, with 95 % bands. ${
      drawn.map(({ label, dots }) =>
        `${label}: ${
          dots.map(({ value, chance }) => `${per(chance)} at ${formatNumber(value, 1)}`).join(", ")
        }`
      ).join("; ")
    }.`,
    legend: drawn.map(({ label, color, dash }) => ({ label, color, sign: dash ? "dash" : "line" })),
  });
}
