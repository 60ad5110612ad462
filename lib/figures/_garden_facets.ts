import * as Plot from "@observablehq/plot";
import { type DragCurve, type GardenDrift, predictDrag, readingTolerance } from "../garden/mod.ts";
import { facetHeads } from "./_facet_heads.ts";
import {
  checkOneMachine,
  facetColumns,
  facetOf,
  gapSteps,
  halfGapWords,
  inReadingOrder,
  pairLabel,
  slug,
  widestGap,
} from "./_garden_labels.ts";
import { renderPlot, seriesColors } from "./_svg.ts";

/** The one drawing behind drift and drag against gap: only the scale upwards and the reference lines differ. */
export function drawFacets(drift: GardenDrift, curves: readonly DragCurve[], what: "drift" | "drag"): string {
  const machine = checkOneMachine(`${what} by gap`, curves);
  const shown = inReadingOrder(curves);
  const widest = widestGap(shown);
  const rows = shown.flatMap((curve, index) =>
    drift.rows.filter((row) => row.pair === curve.pair.key).map((row) => ({
      ...row,
      curve,
      ...facetOf(index),
    }))
  );
  const points = rows.flatMap((row) => {
    const value = what === "drift" ? row.drift : row.drag;
    return value === null
      ? []
      : [{ ...row, value, other: row.curve.depthVaries && row.depth_cm !== row.curve.depth_cm }];
  });
  const lines = shown.flatMap((curve, index) => {
    const scale = what === "drift" ? curve.apart ?? 0 : 1;
    const end = Math.max(1, ...curve.gaps.map((each) => each.gap_cm));
    return predictDrag(curve, gapSteps(end)).map((at) => ({
      ...facetOf(index),
      curve: index,
      gap_cm: at.gap_cm,
      value: at.drag * scale,
      low: at.band === null ? null : at.band.low * scale,
      high: at.band === null ? null : at.band.high * scale,
    }));
  });
  const strips = what === "drift"
    ? shown.map((curve, index) => ({ ...facetOf(index), tolerance: readingTolerance(drift, curve.pair) }))
    : [];
  const halves = shown.flatMap((curve, index) => {
    const { halfGapCm } = curve;
    if (!("value" in halfGapCm)) return [];
    const level = what === "drift" ? (curve.apart ?? 0) / 2 : 0.5;
    return [{
      ...facetOf(index),
      gap_cm: halfGapCm.value,
      low: halfGapCm.interval.low,
      high: halfGapCm.interval.high,
      level,
    }];
  });
  const heads = shown.map((curve, index) => ({
    ...facetOf(index),
    head: pairLabel(curve.pair),
    sub: `${halfGapWords(curve)}; ${curve.n.trials} trials, ${curve.n.blocks} blocks`,
  }));
  const facetRows = Math.ceil(shown.length / facetColumns);
  const facet = { fx: "fx", fy: "fy" } as const;
  const [blue, orange] = [seriesColors[0]!, seriesColors[1]!];
  const silent = drift.silent.filter((each) => shown.some((curve) => curve.pair.key === each.pair)).length;
  const options: Plot.PlotOptions = {
    width: 720,
    height: 112 + facetRows * 250,
    marginLeft: 56,
    marginTop: 52,
    marginBottom: 44,
    fx: { axis: null, padding: 0.08 },
    fy: { axis: null, padding: 0.24 },
    x: { domain: [0, widest], label: null, ticks: 5, nice: true },
    y: { label: null, ticks: 5, nice: true, grid: true },
    marks: [
      Plot.rectY(strips, {
        ...facet,
        x1: 0,
        x2: widest,
        y1: (d) => -d.tolerance,
        y2: (d) => d.tolerance,
        fill: "currentColor",
        fillOpacity: 0.14,
      }),
      Plot.ruleY(shown.map((_, index) => facetOf(index)), {
        ...facet,
        y: () => 0,
        stroke: "currentColor",
        strokeOpacity: 0.5,
      }),
      ...(what === "drag"
        ? [
          Plot.ruleY(shown.map((_, index) => facetOf(index)), {
            ...facet,
            y: () => 0.5,
            stroke: "currentColor",
            strokeDasharray: "5 3",
          }),
        ]
        : []),
      Plot.areaY(lines.filter((each) => each.low !== null), {
        ...facet,
        x: "gap_cm",
        y1: "low",
        y2: "high",
        z: "curve",
        fill: blue,
        fillOpacity: 0.22,
      }),
      Plot.dot(points, {
        ...facet,
        x: "gap_cm",
        y: "value",
        r: 3.5,
        symbol: (d: { direction: string }) => d.direction === "right" ? "circle" : "square",
        fill: (d) => d.other ? "none" : blue,
        stroke: blue,
        fillOpacity: 0.75,
      }),
      Plot.line(lines, { ...facet, x: "gap_cm", y: "value", z: "curve", stroke: blue, strokeWidth: 2.5 }),
      Plot.ruleY(halves, { ...facet, x1: "low", x2: "high", y: "level", stroke: orange, strokeWidth: 5 }),
      Plot.dot(halves, { ...facet, x: "gap_cm", y: "level", r: 6, symbol: "diamond2", fill: orange }),
      ...facetHeads(heads),
      Plot.axisX({ anchor: "bottom", label: null, ticks: 5, fontSize: 14 }),
      Plot.axisY({ anchor: "left", label: null, ticks: 5, fontSize: 14 }),
    ],
    symbol: { type: "identity" },
    color: { type: "identity" },
  };
  const unit = what === "drift" ? "drift in reading units" : "drag (0 clean, 1 neighbour)";
  const alt = `${
    what === "drift" ? "Drift" : "Drag"
  } against gap on ${machine}, ${shown.length} small plots, ${
    new Set(points.map((point) => point.trial_id)).size
  } trials. ${heads.map((each) => `${each.head}: ${each.sub}`).join(". ")}.${
    silent > 0 ? ` ${silent} silent readings are not drawn.` : ""
  }`;
  return renderPlot(options, {
    name: `garden-${what}-${slug(machine)}`,
    alt,
    legend: [
      { label: `up: ${unit}; across: gap in cm`, color: "none" },
      { label: "coil going right", color: blue, sign: "dot" },
      { label: "left", color: blue, sign: "square" },
      { label: "hollow: other depth", color: "none", sign: "dot" },
      { label: "curve, 95 % band", color: blue, sign: "line" },
      { label: "half gap, 95 % interval", color: orange, sign: "line" },
    ],
  });
}
