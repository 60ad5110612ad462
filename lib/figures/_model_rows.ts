import * as Plot from "@observablehq/plot";
import type { Estimate } from "../numbers/mod.ts";
import { rowScales } from "./_row_scales.ts";
import { formatCounts, formatNumber } from "./_text.ts";
import { renderPlot, seriesColors } from "./_svg.ts";

/** One row of a drawing of estimates: a label, an estimate, and whether it is the one to look at. */
export interface EstimateRow {
  readonly label: string;
  readonly estimate: Estimate;
  readonly strong?: boolean;
}

/** What {@link drawEstimateRows} needs beside its rows. */
export interface EstimateRowsMeta {
  readonly name: string;
  /** The axis across, with its unit. */
  readonly axis: string;
  /** What is drawn, as the start of the alternative text. */
  readonly subject: string;
  /** A line across all rows: what no difference, or no knowledge, would give. */
  readonly rule?: number;
  readonly decimals?: number;
}

/** Draws estimates as points with intervals, a row each; an absent one stands as its word. */
export function drawEstimateRows(rows: readonly EstimateRow[], meta: EstimateRowsMeta): string {
  const { name, axis, subject, rule, decimals = 2 } = meta;
  if (rows.length === 0) throw new RangeError(`Cannot draw ${name}: need at least one row, got 0`);
  const placed = rows.map((row, order) => ({ ...row, order }));
  const known = placed.flatMap(({ estimate, ...row }) =>
    "value" in estimate
      ? [{ ...row, value: estimate.value, low: estimate.interval.low, high: estimate.interval.high }]
      : []
  );
  const unknown = placed.flatMap(({ estimate, ...row }) =>
    "absent" in estimate ? [{ ...row, word: estimate.absent }] : []
  );
  const limits = [...known.flatMap(({ low, high }) => [low, high]), ...(rule === undefined ? [] : [rule])];
  const least = limits.length > 0 ? Math.min(...limits) : 0,
    most = limits.length > 0 ? Math.max(...limits) : 1;
  const room = (most - least || 1) * 0.06;
  const color = (row: { readonly strong?: boolean }) => row.strong ? seriesColors[1]! : seriesColors[0]!;
  const longest = Math.max(...rows.map((row) => row.label.length));
  const options: Plot.PlotOptions = {
    width: 720,
    height: 76 + rows.length * 32,
    marginLeft: Math.min(330, 24 + longest * 7.6),
    marginRight: 24,
    marginTop: 16,
    marginBottom: 52,
    ...rowScales(rows.map((row) => row.label), { domain: [least - room, most + room], label: axis }),
    color: { type: "identity" },
    symbol: { type: "identity" },
    marks: [
      ...(rule === undefined ? [] : [Plot.ruleX([rule], { stroke: "currentColor", strokeDasharray: "4 3" })]),
      Plot.ruleY(known, { x1: "low", x2: "high", y: "order", stroke: color, strokeWidth: 3 }),
      Plot.dot(known, {
        x: "value",
        y: "order",
        r: 6,
        fill: color,
        symbol: (row: { readonly strong?: boolean }) => row.strong ? "square" : "circle",
      }),
      Plot.text(unknown, {
        x: rule ?? least,
        y: "order",
        text: "word",
        dx: 8,
        textAnchor: "start",
        fontStyle: "italic",
      }),
    ],
  };
  const show = (value: number) => formatNumber(value, decimals);
  const said = rows.map(({ label, estimate }) =>
    "value" in estimate
      ? `${label} ${show(estimate.value)} (${show(estimate.interval.low)} to ${show(estimate.interval.high)})`
      : `${label}: ${estimate.absent}`
  );
  const n = rows.map((row) => row.estimate).find((estimate) => "value" in estimate)?.n;
  const counts = n ? `, n = ${formatCounts(n)}` : "";
  return renderPlot(options, { name, alt: `${subject}, with 95 % intervals${counts}. ${said.join("; ")}.` });
}
