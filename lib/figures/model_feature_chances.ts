import * as Plot from "@observablehq/plot";
import type { FeatureSays } from "../model/mod.ts";
import { featureName, slug, tellsApart } from "./_model_labels.ts";
import { formatNumber } from "./_text.ts";
import { renderPlot, seriesColors } from "./_svg.ts";

const PAIRS = [
  { key: "goodAboveFerrous", title: "goods above ferrous" },
  { key: "maskedAbovePlain", title: "masked above other non-ferrous" },
] as const;

/**
 * Draws what every feature says in two small panels, a row a feature: how often a good has the higher value than a ferrous
 * signal, and a masked good than another non-ferrous one, with intervals by site.
 *
 * Across: chance of the higher value in per cent; on the dashed line, half, the feature tells nothing. Squares are clear of it;
 * an absent chance stands as its word. Returns an SVG string; throws RangeError without a feature.
 *
 * @example
 * ```ts
 * import { modelFeatureChances } from "overiron";
 * let message = "";
 * try {
 *   modelFeatureChances([], { machine: "Machine A" });
 * } catch (error) {
 *   message = (error as Error).message;
 * }
 * if (!message.includes("need at least one feature")) throw new Error(message);
 * ```
 */
export function modelFeatureChances(
  says: readonly FeatureSays[],
  options: { readonly machine: string },
): string {
  if (says.length === 0) throw new RangeError("Cannot draw features: need at least one feature, got 0");
  const labels = says.map(({ feature }) => featureName(feature));
  const rows = PAIRS.flatMap(({ key, title }) =>
    says.map((each, order) => ({ title, order, estimate: each[key] }))
  );
  const known = rows.flatMap(({ title, order, estimate }) =>
    "value" in estimate
      ? [{
        title,
        order,
        value: estimate.value,
        low: estimate.interval.low,
        high: estimate.interval.high,
        strong: tellsApart(estimate),
      }]
      : []
  );
  const unknown = rows.flatMap(({ title, order, estimate }) =>
    "absent" in estimate ? [{ title, order, word: estimate.absent }] : []
  );
  const color = ({ strong }: { readonly strong: boolean }) => strong ? seriesColors[1]! : seriesColors[0]!;
  const per = (share: number) => `${formatNumber(100 * share, 0)} %`;
  const halves = PAIRS.map(({ title }) => ({ title, half: 0.5 }));
  return renderPlot({
    width: 760,
    height: 96 + says.length * 28,
    marginLeft: 24 + Math.max(...labels.map((label) => label.length)) * 7.6,
    marginRight: 24,
    marginBottom: 48,
    x: {
      domain: [0, 1],
      ticks: [0.25, 0.5, 0.75],
      tickFormat: per,
      label: "pairs in which it has the higher value",
      labelAnchor: "center",
      labelArrow: "none",
      grid: true,
    },
    fx: { domain: PAIRS.map(({ title }) => title), label: null, padding: 0.08 },
    y: {
      // Stated, since of two rows Plot would make a continuous scale.
      type: "point",
      padding: 0.5,
      domain: says.map((_, order) => order),
      tickFormat: (order: number) => labels[order]!,
      label: null,
      tickSize: 0,
    },
    color: { type: "identity" },
    symbol: { type: "identity" },
    marks: [
      Plot.ruleX(halves, { fx: "title", x: "half", stroke: "currentColor", strokeDasharray: "4 3" }),
      Plot.ruleY(known, { fx: "title", x1: "low", x2: "high", y: "order", stroke: color, strokeWidth: 3 }),
      Plot.dot(known, {
        fx: "title",
        x: "value",
        y: "order",
        r: 5,
        fill: color,
        symbol: ({ strong }: { readonly strong: boolean }) => strong ? "square" : "circle",
      }),
      Plot.text(unknown, {
        fx: "title",
        x: 0,
        y: "order",
        text: "word",
        dx: 4,
        textAnchor: "start",
        fontStyle: "italic",
      }),
    ],
  }, {
    name: `model-feature-chances-${slug(options.machine)}`,
    alt: `How often one kind of signal has the higher value, ${options.machine}, with 95 % intervals. ${
      rows.map(({ title, order, estimate }) =>
        `${labels[order]!}, ${title}: ${
          "value" in estimate
            ? `${per(estimate.value)} (${per(estimate.interval.low)} to ${per(estimate.interval.high)})`
            : estimate.absent
        }`
      ).join("; ")
    }.`,
  });
}
