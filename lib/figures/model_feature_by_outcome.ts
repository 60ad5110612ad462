import * as Plot from "@observablehq/plot";
import type { FeatureSays } from "../model/mod.ts";
import { quantile } from "../numbers/mod.ts";
import { formatNumber } from "./_text.ts";
import { renderPlot, seriesColors } from "./_svg.ts";
import { featureName, slug } from "./_model_labels.ts";
import { plainWord } from "./plain_word.ts";

/** Most dots drawn for one outcome; of more, evenly spaced ones in order of size. */
const MOST_DOTS = 200;

/**
 * Draws the values of one feature, a row an outcome: a dot a signal, the middle half as a bar, the median with its interval by
 * site. Labels hold the number of signals with a value.
 *
 * Above 200 signals an outcome every so many-th value in order of size is drawn, and the alternative text says so. Returns an
 * SVG string; throws RangeError when no outcome has a value.
 *
 * @example
 * ```ts
 * import { featureByOutcome, modelFeatureByOutcome } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * const says = featureByOutcome(table, "centre", { seed: 1 });
 * let message = "";
 * try {
 *   modelFeatureByOutcome(says, { machine: "Machine A" });
 * } catch (error) {
 *   message = (error as Error).message;
 * }
 * if (!message.includes("no signal has a value")) throw new Error(message);
 * ```
 */
export function modelFeatureByOutcome(says: FeatureSays, options: { readonly machine: string }): string {
  const { feature, unit, outcomes } = says;
  if (outcomes.every(({ values }) => values.length === 0)) {
    throw new RangeError(`Cannot draw ${feature}: no signal has a value`);
  }
  const labels = outcomes.map(({ outcome, values }) => `${plainWord(outcome)} (${values.length})`);
  let thinned = false;
  const dots = outcomes.flatMap(({ values }, order) => {
    const sorted = Float64Array.from(values).sort();
    const count = Math.min(MOST_DOTS, sorted.length);
    if (count < sorted.length) thinned = true;
    return Array.from({ length: count }, (_, i) => {
      const at = count < sorted.length ? Math.floor((i + 0.5) * sorted.length / count) : i;
      // Golden-ratio steps spread neighbours over the row without any chance.
      return { value: sorted[at]!, y: order + 0.12 + 0.22 * ((i * 0.618034) % 1), order };
    });
  });
  const bars = outcomes.flatMap(({ values }, order) =>
    values.length < 4
      ? []
      : [{ order, low: quantile(values, 0.25), high: quantile(values, 0.75), y: order - 0.2 }]
  );
  const medians = outcomes.flatMap(({ values, median }, order) => {
    if (values.length === 0) return [];
    const value = "value" in median ? median.value : quantile(values, 0.5);
    const interval = "value" in median ? median.interval : { low: value, high: value };
    return [{ order, value, low: interval.low, high: interval.high, y: order - 0.2 }];
  });
  const color = ({ order }: { readonly order: number }) => seriesColors[order % seriesColors.length]!;
  const longest = Math.max(...labels.map((label) => label.length));
  const said = outcomes.map(({ outcome, values, median }) =>
    `${plainWord(outcome)}, ${values.length} signals: median ${
      "value" in median
        ? `${formatNumber(median.value, 2)} (${formatNumber(median.interval.low, 2)} to ${
          formatNumber(median.interval.high, 2)
        })`
        : values.length > 0
        ? formatNumber(quantile(values, 0.5), 2)
        : "not there"
    }`
  );
  return renderPlot({
    width: 700,
    height: 84 + outcomes.length * 64,
    marginLeft: 24 + longest * 8,
    marginTop: 12,
    x: {
      label: `${featureName(feature)}, ${unit}`,
      labelAnchor: "center",
      labelArrow: "none",
      nice: true,
      grid: true,
    },
    y: {
      domain: [outcomes.length - 0.4, -0.5],
      ticks: outcomes.map((_, i) => i),
      tickFormat: (order: number) => labels[order] ?? "",
      label: null,
      tickSize: 0,
    },
    color: { type: "identity" },
    marks: [
      Plot.dot(dots, { x: "value", y: "y", r: 2.6, fill: color, fillOpacity: 0.55 }),
      Plot.ruleY(bars, { x1: "low", x2: "high", y: "y", stroke: color, strokeWidth: 14, strokeOpacity: 0.3 }),
      Plot.ruleY(medians, { x1: "low", x2: "high", y: "y", stroke: color, strokeWidth: 3 }),
      Plot.dot(medians, {
        x: "value",
        y: "y",
        r: 6,
        fill: color,
        stroke: "var(--paper, white)",
        strokeWidth: 1.5,
      }),
    ],
  }, {
    name: `model-${slug(feature)}-${slug(options.machine)}`,
    alt: `${says.meaning}, by outcome, ${options.machine}. ${said.join("; ")}.${
      thinned
        ? ` Of more than ${MOST_DOTS} signals an outcome, ${MOST_DOTS} evenly spaced values are drawn.`
        : ""
    }`,
  });
}
