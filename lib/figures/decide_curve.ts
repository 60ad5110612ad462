import * as Plot from "@observablehq/plot";
import type { DecisionCurve } from "../decide/mod.ts";
import { ruleOf, slug } from "./_model_labels.ts";
import { renderPlot, seriesColors } from "./_svg.ts";
import { formatNumber } from "./_text.ts";

interface CurveDot {
  readonly worth: number;
  readonly net: number;
  readonly low: number;
  readonly high: number;
}

const DASHES = [undefined, "7 4", "2 4", "9 3 2 3"] as const;

/**
 * Draws a decision curve: across, how many holes a good signal is worth; up, what each dig rule nets, in good holes of a hundred
 * signals. Digging nothing nets nought. The band is the model's interval by site.
 *
 * Returns an SVG string; throws RangeError for a curve without a point that has an interval.
 *
 * @example
 * ```ts
 * import { decideCurve } from "overiron";
 * let message = "";
 * try {
 *   decideCurve({ model: "forest", holes: 0, good: 0, points: [] }, { machine: "Machine A" });
 * } catch (error) {
 *   message = (error as Error).message;
 * }
 * if (!message.includes("a point with an interval")) throw new Error(message);
 * ```
 */
export function decideCurve(curve: DecisionCurve, options: { readonly machine: string }): string {
  const names = curve.points[0]?.rules.map(({ rule }) => rule) ?? [];
  const lines = names.map((rule) =>
    curve.points.flatMap(({ worth, rules }): CurveDot[] => {
      const net = rules.find((each) => each.rule === rule)!.net;
      return "value" in net
        ? [{ worth, net: net.value, low: net.interval.low, high: net.interval.high }]
        : [];
    })
  );
  const model = lines[0] ?? [];
  if (model.length === 0) throw new RangeError("Cannot draw decision curve: need a point with an interval");
  const top = Math.max(1, ...lines.flat().map(({ net }) => net), ...model.map(({ high }) => high));
  // Far below nought only tells that a rule is bad there; the scale is kept for what is near.
  const bottom = -0.4 * top;
  const colors = names.map((_, i) => seriesColors[[1, 6, 0, 2][i] ?? 3]!);
  return renderPlot({
    height: 400,
    x: {
      type: "log",
      domain: [model[0]!.worth, model.at(-1)!.worth],
      ticks: [1.25, 1.5, 2, 3, 5, 10, 20].filter((tick) =>
        tick >= model[0]!.worth && tick <= model.at(-1)!.worth
      ),
      tickFormat: (worth: number) => formatNumber(worth, Number.isInteger(worth) ? 0 : worth === 1.5 ? 1 : 2),
      label: "holes that a good signal is worth",
      labelAnchor: "center",
      labelArrow: "none",
    },
    y: {
      domain: [bottom, top],
      label: "net good holes in 100 signals",
      labelArrow: "up",
      grid: true,
      ticks: 6,
    },
    marks: [
      Plot.areaY(model, {
        x: "worth",
        y1: ({ low }: CurveDot) => Math.max(low, bottom),
        y2: "high",
        fill: colors[0]!,
        fillOpacity: 0.18,
      }),
      Plot.ruleY([0], { stroke: "currentColor" }),
      ...lines.map((dots, i) =>
        Plot.line(dots, {
          x: "worth",
          y: "net",
          stroke: colors[i]!,
          strokeWidth: i === 0 ? 3 : 2,
          ...(DASHES[i] === undefined ? {} : { strokeDasharray: DASHES[i] }),
          clip: true,
        })
      ),
    ],
  }, {
    name: `decision-curve-${slug(options.machine)}`,
    alt:
      `Net benefit of dig rules against the worth of a good signal, ${options.machine}, ${curve.holes} dug signals. ${
        names.map((rule, i) => {
          const at = lines[i]!.find(({ worth }) => worth === 5);
          return at === undefined ? rule : `${rule}: ${formatNumber(at.net, 1)} at a worth of 5 holes`;
        }).join("; ")
      }; dig nothing: 0.`,
    legend: [
      ...names.map((rule, i) => ({
        label: i === 0 ? `${ruleOf(rule)}, 95 % band` : rule,
        color: colors[i]!,
        sign: i === 0 ? "line" as const : "dash" as const,
      })),
      { label: "at nought: dig nothing", color: "currentColor", sign: "line" as const },
    ],
  });
}
