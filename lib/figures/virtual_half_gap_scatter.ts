import * as Plot from "@observablehq/plot";
import type { HalfGapScatter } from "../virtual/mod.ts";
import { rowScales } from "./_row_scales.ts";
import { renderPlot, seriesColors } from "./_svg.ts";

/** A row of the drawing: what was varied, under which windings, and what came of it. */
export interface ScatterRow {
  readonly label: string;
  readonly windings: string;
  readonly scatter: HalfGapScatter;
}

/**
 * Draws how widely the half gaps of one kind of nail scatter: a tick a nail, a row for each thing that varied; the share that never reaches half way stands in words.
 *
 * Across: half gap in cm. Returns an SVG string. Throws RangeError when there is no row.
 *
 * @example
 * ```ts
 * import { halfGapScatter, virtualHalfGapScatter } from "overiron";
 * const svg = virtualHalfGapScatter([{ label: "tilt", windings: "concentric", scatter: halfGapScatter({ nails: 3 }) }]);
 * if (!svg.startsWith("<svg")) throw new Error("wrong");
 * ```
 */
export function virtualHalfGapScatter(rows: readonly ScatterRow[]): string {
  if (rows.length === 0) throw new RangeError("Cannot draw scatter: need at least one row, got 0");
  const windings = [...new Set(rows.map((row) => row.windings))];
  const color = (name: string): string => seriesColors[windings.indexOf(name) % seriesColors.length]!;
  const named = rows.map((row, order) => ({ ...row, order }));
  const ticks = named.flatMap((row) =>
    row.scatter.halfGapsCm.map((gap) => ({ order: row.order, gap, windings: row.windings }))
  );
  const said = named.map(({ order, scatter }) => ({
    order,
    text: `${scatter.never} of ${scatter.nails} never${
      scatter.other > 0 ? `, ${scatter.other} cannot be told` : ""
    }`,
  }));
  const widest = Math.max(1, ...ticks.map((tick) => tick.gap));
  const options: Plot.PlotOptions = {
    width: 720,
    height: 80 + rows.length * 40,
    marginLeft: 30 + 7.6 * Math.max(...rows.map((row) => row.label.length)),
    marginRight: 160,
    ...rowScales(rows.map((row) => row.label), { domain: [0, widest], label: "half gap, cm" }, "band"),
    marks: [
      Plot.tickX(ticks, {
        x: "gap",
        y: "order",
        stroke: (d: { windings: string }) => color(d.windings),
        strokeWidth: 2,
        strokeOpacity: 0.7,
      }),
      Plot.text(said, { y: "order", text: "text", frameAnchor: "right", textAnchor: "start", dx: 10 }),
    ],
    color: { type: "identity" },
  };
  const words = named.map(({ label, windings: wound, scatter }) => {
    const { halfGapsCm: gaps, never, nails } = scatter;
    const range = gaps.length === 0 ? "none" : `${gaps[0]!.toFixed(1)} to ${gaps.at(-1)!.toFixed(1)} cm`;
    return `${label}, ${wound} windings: half gaps ${range}, never for ${never} of ${nails}`;
  });
  return renderPlot(options, {
    name: "virtual-half-gap-scatter",
    alt: `Simulated half gaps in cm of one kind of nail, ${rows.length} rows. ${words.join("; ")}.`,
    legend: windings.map((label) => ({
      label: `${label} windings`,
      color: color(label),
      sign: "line" as const,
    })),
  });
}
