import * as Plot from "@observablehq/plot";
import type { DragCurve } from "../garden/mod.ts";
import { inReadingOrder, pairLabel } from "./_garden_labels.ts";
import { rowScales } from "./_row_scales.ts";
import { renderPlot, seriesColors } from "./_svg.ts";

/**
 * Draws the half gap of every pair of objects with its 95 % interval, a row a pair, grouped by machine; "never" and "cannot tell yet" stand
 * as words in their row.
 *
 * Across: half gap in cm. Returns an SVG string. Throws RangeError when there is no pair.
 *
 * @example
 * ```ts
 * import { gardenHalfGaps } from "overiron";
 * let refused = false;
 * try {
 *   gardenHalfGaps([]);
 * } catch (error) {
 *   refused = error instanceof RangeError;
 * }
 * if (!refused) throw new Error("nothing to draw");
 * ```
 */
export function gardenHalfGaps(curves: readonly DragCurve[]): string {
  if (curves.length === 0) throw new RangeError("Cannot draw half gaps: need at least one pair, got 0");
  const machines = [...new Set(inReadingOrder(curves).map((curve) => curve.pair.machine))];
  const rows = inReadingOrder(curves).map((curve, order) => {
    const machine = curve.pair.machine;
    return { order, label: pairLabel(curve.pair), machine, half: curve.halfGapCm, n: curve.n };
  });
  const known = rows.flatMap((row) =>
    "value" in row.half
      ? [{ ...row, value: row.half.value, low: row.half.interval.low, high: row.half.interval.high }]
      : []
  );
  const unknown = rows.flatMap((row) => "absent" in row.half ? [{ ...row, word: row.half.absent }] : []);
  const widest = Math.max(1, ...known.map((row) => row.high));
  const color = (row: { readonly machine: string }) =>
    seriesColors[machines.indexOf(row.machine) % seriesColors.length]!;
  const longest = Math.max(...rows.map((row) => row.label.length));
  const options: Plot.PlotOptions = {
    width: 720,
    height: 70 + rows.length * 34,
    marginLeft: Math.min(400, 24 + longest * 7.6),
    marginRight: 20,
    marginBottom: 46,
    ...rowScales(rows.map((row) => row.label), { domain: [0, widest * 1.05], label: "half gap, cm" }),
    marks: [
      Plot.ruleY(known, { x1: "low", x2: "high", y: "order", stroke: color, strokeWidth: 4 }),
      Plot.dot(known, {
        x: "value",
        y: "order",
        r: 7,
        fill: color,
        symbol: (row: { machine: string }) => machines.indexOf(row.machine) % 2 === 0 ? "circle" : "square",
      }),
      Plot.text(unknown, {
        x: 0,
        y: "order",
        text: "word",
        fill: color,
        textAnchor: "start",
        dx: 8,
        fontStyle: "italic",
      }),
    ],
    symbol: { type: "identity" },
    color: { type: "identity" },
  };
  const said = rows.map((row) =>
    `${row.machine}, ${row.label}: ${
      "value" in row.half
        ? `${row.half.value.toFixed(1)} cm (${row.half.interval.low.toFixed(1)} to ${
          row.half.interval.high.toFixed(1)
        })`
        : row.half.absent
    }`
  );
  return renderPlot(options, {
    name: "garden-half-gaps",
    alt: `Half gaps of ${rows.length} pairs of objects with 95 % intervals, in cm. ${said.join("; ")}.`,
    legend: machines.map((machine, i) => ({
      label: machine,
      color: seriesColors[i % seriesColors.length]!,
      sign: i % 2 === 0 ? "dot" as const : "square" as const,
    })),
  });
}
