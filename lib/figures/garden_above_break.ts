import * as Plot from "@observablehq/plot";
import { type AboveBreak, passShareAt } from "../garden/mod.ts";
import { facetHeads } from "./_facet_heads.ts";
import { facetColumns, facetOf, gapSteps, neighbourLabel, slug } from "./_garden_labels.ts";
import { renderPlot, seriesColors } from "./_svg.ts";

/**
 * Draws how often passes read on or above the iron break against the gap, one small plot a pair of objects, all of one machine, beside the level that the bare
 * neighbour reaches by itself.
 *
 * Dots are trials (share of their passes); the line is the fitted curve with its 95 % band; dashed: the neighbour alone. A pair whose passes all read alike has no curve; "a step" stands where one gap
 * tells all passes apart, so that the slope is the penalty's.
 * Returns an SVG string. Throws RangeError unless the pairs are of one machine.
 *
 * @example
 * ```ts
 * import { aboveBreak, driftOfTrials, gardenAboveBreak, simulatedGarden } from "overiron";
 * const garden = simulatedGarden([{ name: "nail", qCm2: 80 }], { seed: 1, blocks: 6 });
 * if (!gardenAboveBreak(aboveBreak(garden, driftOfTrials(garden))).startsWith("<svg")) throw new Error("wrong");
 * ```
 */
export function gardenAboveBreak(found: readonly AboveBreak[]): string {
  const machines = [...new Set(found.map((each) => each.pair.machine))];
  if (machines.length !== 1) {
    throw new RangeError(
      `Cannot draw passes above the break: need the pairs of one machine, got ${machines.length} machines`,
    );
  }
  const [blue, orange] = [seriesColors[0]!, seriesColors[1]!];
  const points = found.flatMap((each, index) =>
    each.points.map((point) => ({
      ...facetOf(index),
      gap_cm: point.gap_cm,
      share: point.hits / point.passes,
    }))
  );
  const lines = found.flatMap((each, index) => {
    const widest = Math.max(1, ...each.points.map((point) => point.gap_cm));
    return gapSteps(widest).flatMap((gap_cm) => {
      const share = passShareAt(each.curve, gap_cm, { n: each.n });
      return "value" in share
        ? [{
          ...facetOf(index),
          index,
          gap_cm,
          share: share.value,
          low: share.interval.low,
          high: share.interval.high,
        }]
        : [];
    });
  });
  const levels = found.flatMap((each, index) =>
    "value" in each.neighbourAlone ? [{ ...facetOf(index), share: each.neighbourAlone.value }] : []
  );
  const heads = found.map((each, index) => ({
    ...facetOf(index),
    head: `${each.pair.target} + ${neighbourLabel(each.pair)}`,
    sub: `${
      typeof each.curve === "string" ? `${each.curve}; ` : ""
    }${each.n.trials} trials, ${each.n.blocks} blocks`,
  }));
  const facet = { fx: "fx", fy: "fy" } as const;
  return renderPlot({
    width: 720,
    height: 100 + Math.ceil(found.length / facetColumns) * 200,
    marginLeft: 56,
    marginTop: 52,
    marginBottom: 40,
    fx: { axis: null, padding: 0.08 },
    fy: { axis: null, padding: 0.34 },
    x: {
      domain: [0, Math.max(1, ...points.map((point) => point.gap_cm))],
      label: null,
      ticks: 5,
      nice: true,
    },
    y: {
      domain: [0, 1],
      label: null,
      ticks: [0, 0.5, 1],
      tickFormat: (share: number) => `${share * 100} %`,
      grid: true,
    },
    marks: [
      Plot.areaY(lines, {
        ...facet,
        x: "gap_cm",
        y1: "low",
        y2: "high",
        z: "index",
        fill: blue,
        fillOpacity: 0.22,
      }),
      Plot.ruleY(levels, { ...facet, y: "share", stroke: orange, strokeWidth: 2, strokeDasharray: "6 4" }),
      Plot.line(lines, { ...facet, x: "gap_cm", y: "share", z: "index", stroke: blue, strokeWidth: 2.5 }),
      Plot.dot(points, { ...facet, x: "gap_cm", y: "share", r: 3.5, fill: blue, fillOpacity: 0.6 }),
      ...facetHeads(heads),
      Plot.axisX({ anchor: "bottom", label: null, ticks: 5, fontSize: 14 }),
    ],
    color: { type: "identity" },
  }, {
    name: `garden-above-break-${slug(machines[0]!)}`,
    alt: `Share of passes on or above the iron break against gap on ${
      machines[0]
    }, ${found.length} small plots. ${heads.map((each) => `${each.head}: ${each.sub}`).join(". ")}.`,
    legend: [
      { label: "up: share of passes above the break; across: gap in cm", color: "none" },
      { label: "a trial", color: blue, sign: "dot" },
      { label: "curve, 95 % band", color: blue, sign: "line" },
      { label: "neighbour alone", color: orange, sign: "dash" },
    ],
  });
}
