import * as Plot from "@observablehq/plot";
import type { SeasonAtAGlance } from "../sweep/mod.ts";
import { renderPlot, seriesColors } from "./_svg.ts";

interface Group {
  readonly label: string;
  /** Rows of the outcome table that it takes together. */
  readonly rows: readonly string[];
  readonly color: string;
  readonly hollow?: boolean;
}

const groups: readonly Group[] = [
  { label: "masked good", rows: ["masked-good"], color: seriesColors[1]! },
  { label: "other non-ferrous", rows: ["non-ferrous"], color: seriesColors[0]! },
  { label: "iron", rows: ["ferrous"], color: seriesColors[6]! },
  {
    label: "dug, no outcome",
    rows: ["unknown", "nothing-found", "hazard", "stopped"],
    color: seriesColors[4]!,
  },
  { label: "left in the ground", rows: ["not-dug"], color: seriesColors[6]!, hollow: true },
];

interface Bar {
  readonly site: string;
  readonly group: string;
  readonly color: string;
  readonly hollow: boolean;
  readonly from: number;
  readonly to: number;
}

/**
 * Draws what came of the signals of each site as bars: masked goods, other non-ferrous finds, iron, dug without an outcome,
 * left in the ground. Sites stand in the order of their names, with the number of signals beside each.
 *
 * Throws RangeError for a season without signals.
 *
 * @example
 * ```ts
 * import { seasonOutcomesBySite } from "overiron";
 * const bySite = { rows: ["A"], columns: ["ferrous", "masked-good"], counts: [[9, 2]] };
 * if (!seasonOutcomesBySite({ bySite }, { name: "sites" }).startsWith("<svg")) throw new Error("no drawing");
 * ```
 */
export function seasonOutcomesBySite(
  glance: Pick<SeasonAtAGlance, "bySite">,
  options: { /** Short name, a-z, 0-9 and hyphens. */ readonly name: string },
): string {
  const { name } = options;
  const { rows: sites, columns, counts } = glance.bySite;
  if (sites.length === 0) throw new RangeError(`Cannot draw "${name}": there are no signals`);
  const totals = counts.map((line) => line.reduce((sum, count) => sum + count, 0));
  const inGroup = (line: readonly number[], rows: readonly string[]) =>
    rows.reduce((sum, row) => sum + (line[columns.indexOf(row)] ?? 0), 0);
  const bars = sites.flatMap((site, i): Bar[] => {
    let from = 0;
    return groups.map(({ label, rows, color, hollow = false }) => {
      const to = from + inGroup(counts[i]!, rows);
      const bar = { site, group: label, color, hollow, from, to };
      from = to;
      return bar;
    });
  }).filter(({ from, to }) => to > from);
  const all = groups.map(({ label, rows }) =>
    `${label} ${counts.reduce((sum, line) => sum + inGroup(line, rows), 0)}`
  );
  const longest = Math.max(...sites.map((site) => site.length));
  return renderPlot({
    height: 70 + 34 * sites.length,
    marginLeft: Math.min(220, 30 + 9 * longest),
    marginRight: 52,
    marginBottom: 48,
    x: { label: "signals →", labelAnchor: "center", labelOffset: 42, grid: true, ticks: 5, nice: true },
    y: { domain: sites, label: null, tickSize: 0, padding: 0.2 },
    marks: [
      Plot.barX(bars, {
        y: "site",
        x1: "from",
        x2: "to",
        fill: (bar: Bar) => bar.hollow ? "none" : bar.color,
        stroke: (bar: Bar) => bar.hollow ? bar.color : "var(--paper, white)",
        strokeWidth: 1,
      }),
      Plot.text(sites.map((site, i) => ({ site, total: totals[i]! })), {
        y: "site",
        x: "total",
        text: "total",
        textAnchor: "start",
        dx: 6,
        fill: "currentColor",
      }),
      Plot.ruleX([0], { stroke: "currentColor" }),
    ],
  }, {
    name,
    alt: `Bars of ${totals.reduce((a, b) => a + b, 0)} signals on ${sites.length} sites. All sites: ${
      all.join(", ")
    }.`,
    legend: groups.map(({ label, color, hollow }) => ({ label, color, sign: hollow ? "frame" : "square" })),
  });
}
