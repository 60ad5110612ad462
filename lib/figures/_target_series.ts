import { type LegendEntry, seriesColors } from "./_svg.ts";

interface OfTarget {
  readonly target: string;
}

/** Targets told apart by colour and by circle or square: how their dots are drawn, and their entries in the legend. */
export function targetSeries(rows: readonly OfTarget[]) {
  const targets = [...new Set(rows.map((row) => row.target))].sort();
  const colorAt = (i: number): string => seriesColors[i % seriesColors.length]!;
  return {
    targets,
    dots: {
      r: 3.5,
      fill: (row: OfTarget) => colorAt(targets.indexOf(row.target)),
      fillOpacity: 0.7,
      symbol: (row: OfTarget) => targets.indexOf(row.target) % 2 === 0 ? "circle" : "square",
    },
    legend: targets.map((target, i): LegendEntry => ({
      label: target,
      color: colorAt(i),
      sign: i % 2 === 0 ? "dot" : "square",
    })),
  };
}
