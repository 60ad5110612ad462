import * as Plot from "@observablehq/plot";
import { renderPlot, seriesColors } from "./_svg.ts";

/** The simulated drag of one neighbour over a range of gaps, at one depth. */
export interface VirtualDragLine {
  readonly neighbour: string;
  readonly depthCm: number;
  /** Null where the gap at which the drag is one half does not exist. */
  readonly halfGapCm: number | null;
  readonly points: readonly { readonly gapCm: number; readonly drag: number }[];
}

/**
 * Draws simulated drag against gap, a line a neighbour, one small plot a depth: 0 reads as the clean target, 1 as the neighbour. A dot marks the half gap.
 *
 * Returns an SVG string. Throws RangeError when there is no line, or more neighbours than seven.
 *
 * @example
 * ```ts
 * import { virtualDragByGap } from "overiron";
 * const line = { neighbour: "nail", depthCm: 8, halfGapCm: null, points: [{ gapCm: 0, drag: 0.3 }, { gapCm: 5, drag: 0.1 }] };
 * if (!virtualDragByGap([line]).startsWith("<svg")) throw new Error("wrong");
 * ```
 */
export function virtualDragByGap(lines: readonly VirtualDragLine[]): string {
  if (lines.length === 0) throw new RangeError("Cannot draw drag by gap: need at least one line, got 0");
  const neighbours = [...new Set(lines.map((line) => line.neighbour))];
  if (neighbours.length > seriesColors.length) {
    throw new RangeError(
      `Cannot draw drag by gap: at most ${seriesColors.length} neighbours, got ${neighbours.length}`,
    );
  }
  const color = (name: string): string => seriesColors[neighbours.indexOf(name)]!;
  const title = (depthCm: number): string => `${depthCm} cm deep`;
  const points = lines.flatMap((line) =>
    line.points.map((point) => ({
      ...point,
      fx: title(line.depthCm),
      neighbour: line.neighbour,
      z: `${line.neighbour} ${line.depthCm}`,
    }))
  );
  const halves = lines.flatMap((line) =>
    line.halfGapCm === null
      ? []
      : [{ fx: title(line.depthCm), gapCm: line.halfGapCm, drag: 0.5, neighbour: line.neighbour }]
  );
  const options: Plot.PlotOptions = {
    width: 720,
    height: 330,
    marginTop: 36,
    fx: {
      domain: [...new Set(lines.map(({ depthCm }) => title(depthCm)))],
      label: null,
      axis: "top",
      padding: 0.1,
    },
    x: { label: "gap from edge to edge, cm", labelAnchor: "center", labelArrow: "none", ticks: 5 },
    y: { label: "drag", labelArrow: "none", grid: true, ticks: 5 },
    marks: [
      Plot.ruleY([0.5], { stroke: "currentColor", strokeDasharray: "5 3" }),
      Plot.ruleY([0], { stroke: "currentColor", strokeOpacity: 0.5 }),
      Plot.line(points, {
        fx: "fx",
        x: "gapCm",
        y: "drag",
        z: "z",
        stroke: (d: { neighbour: string }) => color(d.neighbour),
        strokeWidth: 2.5,
      }),
      Plot.dot(halves, {
        fx: "fx",
        x: "gapCm",
        y: "drag",
        r: 6,
        fill: (d: { neighbour: string }) => color(d.neighbour),
      }),
    ],
    color: { type: "identity" },
  };
  const said = lines.map((line) =>
    `${line.neighbour} ${title(line.depthCm)}: ${
      line.halfGapCm === null ? "never one half" : `one half at ${line.halfGapCm.toFixed(1)} cm`
    }`
  );
  return renderPlot(options, {
    name: "virtual-drag-by-gap",
    alt: `Simulated drag against gap in cm, ${lines.length} curves. ${said.join("; ")}.`,
    legend: neighbours.map((label) => ({ label, color: color(label), sign: "line" as const })),
  });
}
