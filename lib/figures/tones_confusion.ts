import * as Plot from "@observablehq/plot";
import type { BandTable } from "../tones/mod.ts";
import { plainWord } from "./plain_word.ts";
import { renderPlot, seriesColors } from "./_svg.ts";

/** Options of `tonesConfusion`. */
export interface TonesConfusionOptions {
  /** Short name, a-z, 0-9 and hyphens. */
  readonly name: string;
  /** What a row is: "band clean", "outcome". */
  readonly rowTitle: string;
  /** What a column is: "band beside the neighbour". */
  readonly columnTitle: string;
  /** Rows and columns without a single count are left out of the drawing. Default true. */
  readonly leaveOutEmpty?: boolean;
}

/** One cell of a heat table. */
interface Cell {
  readonly row: string;
  readonly column: string;
  readonly count: number;
  /** Share of its row, 0 to 1. */
  readonly share: number;
}

/**
 * Draws a band table as a heat table: in each cell the count and the share of its row; the fuller the colour, the larger
 * the share.
 *
 * Throws RangeError for a table without a count: there is nothing to draw.
 *
 * @example
 * ```ts
 * import { bandTable, tonesConfusion } from "overiron";
 * const table = bandTable([{ row: 0, column: 1, count: 3, cluster: "a" }],
 *   { of: {}, unit: "trials", rows: ["low"], columns: ["iron", "low"] });
 * const svg = tonesConfusion(table, { name: "clean", rowTitle: "band clean", columnTitle: "band together" });
 * if (!svg.startsWith("<svg")) throw new Error("no drawing");
 * ```
 */
export function tonesConfusion(table: BandTable, options: TonesConfusionOptions): string {
  const { name, rowTitle, columnTitle, leaveOutEmpty = true } = options;
  if (table.n === 0) throw new RangeError(`Cannot draw "${name}": the table has no ${table.unit}`);
  const rowTotals = table.counts.map((line) => line.reduce((sum, count) => sum + count, 0));
  const rows = table.rows.filter((_, i) => !leaveOutEmpty || rowTotals[i]! > 0);
  const columns = table.columns.filter((_, j) => !leaveOutEmpty || table.counts.some((line) => line[j]! > 0));
  const cells = table.counts.flatMap((line, i): Cell[] =>
    line.map((count, j) => ({
      row: table.rows[i]!,
      column: table.columns[j]!,
      count,
      share: rowTotals[i]! > 0 ? count / rowTotals[i]! : 0,
    }))
  ).filter(({ row, column }) => rows.includes(row) && columns.includes(column));
  const rowLabel = (row: string) => `${plainWord(row)} (${rowTotals[table.rows.indexOf(row)]})`;
  const longest = Math.max(...rows.map((row) => rowLabel(row).length));
  const fullest = rows.map((row) => {
    const own = cells.filter((cell) => cell.row === row);
    const most = own.reduce((best, cell) => cell.count > best.count ? cell : best);
    return `${plainWord(row)}: ${most.count} of ${rowTotals[table.rows.indexOf(row)]} in ${most.column}`;
  });
  return renderPlot({
    height: 96 + 56 * rows.length,
    marginLeft: Math.min(260, 24 + longest * 8.6),
    marginTop: 34,
    marginBottom: 58,
    x: {
      domain: columns,
      label: `${columnTitle} →`,
      labelAnchor: "center",
      labelOffset: 50,
      tickSize: 0,
      padding: 0.04,
    },
    y: {
      domain: rows,
      label: `${rowTitle} (${table.unit})`,
      labelAnchor: "top",
      tickSize: 0,
      tickFormat: rowLabel,
      padding: 0.06,
    },
    marks: [
      Plot.cell(cells, {
        x: "column",
        y: "row",
        fill: seriesColors[0]!,
        fillOpacity: (cell: Cell) => 0.04 + 0.5 * cell.share,
        stroke: "currentColor",
        strokeOpacity: 0.25,
      }),
      Plot.text(cells, {
        x: "column",
        y: "row",
        text: (cell: Cell) => `${cell.count}`,
        dy: -8,
        fontSize: 18,
        fontWeight: 600,
        fill: "currentColor",
        fillOpacity: (cell: Cell) => cell.count === 0 ? 0.65 : 1,
      }),
      Plot.text(cells.filter(({ count }) => count > 0), {
        x: "column",
        y: "row",
        text: (cell: Cell) => `${Math.round(100 * cell.share)} %`,
        dy: 12,
        fontSize: 14,
        fill: "currentColor",
      }),
    ],
  }, {
    name,
    alt: `Table of ${table.n} ${table.unit}, ${rowTitle} by ${columnTitle}. ${fullest.join("; ")}.`,
  });
}
