import * as Plot from "@observablehq/plot";
import type { CleanByTogether } from "../tones/mod.ts";
import { renderPlot, seriesColors } from "./_svg.ts";

interface Cell {
  readonly clean: string;
  readonly gap: string;
  readonly band: string;
  readonly count: number;
  readonly share: number;
}

/**
 * Draws which band a target sounds in beside a neighbour, against the gap: one panel for each band the target has clean,
 * the bands from high (top) to iron and silent (bottom), a frame around the band it has clean.
 *
 * Each cell holds the number of trials and its share of the trials at that gap. Throws RangeError without trials.
 *
 * @example
 * ```ts
 * import { tonesDropByGap } from "overiron";
 * const table = { of: {}, unit: "trials" as const, rows: ["iron", "high", "silent"], columns: ["iron", "high", "silent"],
 *   counts: [[0, 0, 0], [2, 1, 0], [0, 0, 0]], n: 3, shares: [] };
 * const tables = { of: { machine: "Machine A" }, byGap: [{ gap: "under 2 cm", table }] };
 * if (!tonesDropByGap(tables, { name: "drop" }).includes("under 2 cm")) throw new Error("no gap");
 * ```
 */
export function tonesDropByGap(
  tables: Pick<CleanByTogether, "of" | "byGap">,
  options: { /** Short name, a-z, 0-9 and hyphens. */ readonly name: string },
): string {
  const { name } = options;
  const first = tables.byGap[0]?.table;
  if (!first) throw new RangeError(`Cannot draw "${name}": there are no trials`);
  // Silence lies below the lowest band: it is no sound at all.
  const bands = [...first.columns.slice(0, -1).reverse(), first.columns.at(-1)!];
  const gaps = tables.byGap.map(({ gap }) => gap);
  const cells = tables.byGap.flatMap(({ gap, table }) =>
    table.counts.flatMap((line, i): Cell[] => {
      const all = line.reduce((sum, count) => sum + count, 0);
      return line.map((count, j) => ({
        clean: table.rows[i]!,
        gap,
        band: table.columns[j]!,
        count,
        share: all > 0 ? count / all : 0,
      }));
    })
  );
  const cleans = [...bands].filter((band) => cells.some(({ clean, count }) => clean === band && count > 0));
  const shown = cells.filter(({ clean }) => cleans.includes(clean));
  const n = shown.reduce((sum, { count }) => sum + count, 0);
  const perPanel = (clean: string) =>
    shown.filter((cell) => cell.clean === clean).reduce((sum, { count }) => sum + count, 0);
  const panel = (clean: string) => `clean: ${clean} (${perPanel(clean)} trials)`;
  const rowHeight = bands.length > 5 ? 30 : 38;
  const words = cleans.map((clean) => {
    const lower = gaps.map((gap) => {
      const own = shown.filter((cell) => cell.clean === clean && cell.gap === gap);
      const all = own.reduce((sum, { count }) => sum + count, 0);
      const same = own.find(({ band }) => band === clean)?.count ?? 0;
      return `${gap}: ${same} of ${all} in ${clean}`;
    });
    return `Targets that are ${clean} when clean: ${lower.join(", ")}`;
  });
  return renderPlot({
    height: 80 + cleans.length * (rowHeight * bands.length + 44),
    marginLeft: 24 + Math.max(...bands.map((band) => band.length)) * 9,
    marginTop: 36,
    marginBottom: 56,
    marginRight: 8,
    fy: { domain: cleans, label: null, axis: null, padding: 0.18 },
    x: {
      domain: gaps,
      label: "gap between nearest edges →",
      labelAnchor: "center",
      labelOffset: 48,
      tickSize: 0,
      padding: 0.04,
    },
    y: { domain: bands, label: null, tickSize: 0, padding: 0.06 },
    marks: [
      Plot.cell(shown, {
        x: "gap",
        y: "band",
        fy: "clean",
        fill: seriesColors[0]!,
        fillOpacity: (cell: Cell) => 0.04 + 0.5 * cell.share,
      }),
      Plot.cell(shown.filter(({ clean, band }) => clean === band), {
        x: "gap",
        y: "band",
        fy: "clean",
        fill: "none",
        stroke: "currentColor",
        strokeWidth: 2,
      }),
      Plot.text(shown.filter(({ count }) => count > 0), {
        x: "gap",
        y: "band",
        fy: "clean",
        text: (cell: Cell) => `${cell.count} (${Math.round(100 * cell.share)} %)`,
        fill: "currentColor",
        fontSize: 15,
      }),
      Plot.text(cleans, {
        fy: (clean: string) => clean,
        text: panel,
        frameAnchor: "top-left",
        dy: -20,
        dx: 2,
        fontWeight: 600,
        fill: "currentColor",
      }),
    ],
  }, { name, alt: `Band of ${n} trials beside a neighbour, by gap. ${words.join(". ")}.` });
}
