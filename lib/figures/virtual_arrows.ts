import * as Plot from "@observablehq/plot";
import { renderPlot, seriesColors } from "./_svg.ts";

/** Two signals at one gap: phase lags in degrees, the neighbour's loudness with the target's as 1. */
export interface ArrowPair {
  readonly title: string;
  readonly targetLagDeg: number;
  readonly neighbourLagDeg: number;
  readonly loudnessRatio: number;
}

/**
 * Draws target, neighbour and their sum as arrows in the plane of phase, one small plot a pair. Simulated.
 *
 * Across: the part of the signal in phase with the coil's field; up: the part a quarter turn behind. The target's arrow has length 1; the neighbour's starts at its tip,
 * so that the third side is the sum, whose direction the machine shows as its number. Returns an SVG string. Throws RangeError for no pair or a number that is not finite.
 *
 * @example
 * ```ts
 * import { virtualArrows } from "overiron";
 * const svg = virtualArrows([{ title: "6 cm", targetLagDeg: 171, neighbourLagDeg: 36, loudnessRatio: 1 }]);
 * if (!svg.includes("aria-label")) throw new Error("no words for those who cannot see it");
 * ```
 */
export function virtualArrows(pairs: readonly ArrowPair[]): string {
  if (pairs.length === 0) throw new RangeError("Cannot draw arrows: need at least one pair, got 0");
  const arrows = pairs.flatMap(({ title, targetLagDeg, neighbourLagDeg, loudnessRatio }) => {
    for (const [name, value] of Object.entries({ targetLagDeg, neighbourLagDeg, loudnessRatio })) {
      if (!Number.isFinite(value)) {
        throw new RangeError(`Cannot draw arrows: ${name} must be a finite number, got ${value}`);
      }
    }
    const tip = (lag: number, length: number) => ({
      x: length * Math.cos(lag * Math.PI / 180),
      y: length * Math.sin(lag * Math.PI / 180),
    });
    const target = tip(targetLagDeg, 1), neighbour = tip(neighbourLagDeg, loudnessRatio);
    const sum = { x: target.x + neighbour.x, y: target.y + neighbour.y };
    return [
      { title, what: 0, x1: 0, y1: 0, x2: target.x, y2: target.y },
      { title, what: 1, x1: target.x, y1: target.y, x2: sum.x, y2: sum.y },
      { title, what: 2, x1: 0, y1: 0, x2: sum.x, y2: sum.y },
    ];
  });
  const names = ["target", "neighbour", "sum: what the machine hears"];
  const xs = arrows.flatMap(({ x1, x2 }) => [x1, x2]), ys = arrows.flatMap(({ y1, y2 }) => [y1, y2]);
  const left = Math.min(...xs) - 0.15, right = Math.max(...xs) + 0.15, top = Math.max(...ys) + 0.15;
  const width = 720, inner = (width - 80) / pairs.length * 0.9;
  const options: Plot.PlotOptions = {
    width,
    height: 110 + Math.round(inner * (top + 0.1) / (right - left)),
    marginLeft: 70,
    marginTop: 36,
    fx: { domain: pairs.map(({ title }) => title), label: null, padding: 0.1, axis: "top" },
    x: {
      domain: [left, right],
      label: "in phase with the coil",
      labelAnchor: "center",
      labelArrow: "none",
      ticks: 4,
    },
    y: {
      domain: [-0.1, top],
      label: "a quarter turn behind",
      labelAnchor: "center",
      labelArrow: "none",
      ticks: 4,
    },
    marks: [
      Plot.ruleY([0], { stroke: "currentColor", strokeOpacity: 0.35 }),
      Plot.arrow(arrows, {
        fx: "title",
        x1: "x1",
        y1: "y1",
        x2: "x2",
        y2: "y2",
        stroke: (d: { what: number }) => seriesColors[d.what]!,
        strokeWidth: 3,
        headLength: 6,
      }),
    ],
    color: { type: "identity" },
  };
  const angle = ({ x2, y2 }: { x2: number; y2: number }) => (Math.atan2(y2, x2) * 180 / Math.PI).toFixed(0);
  const said = pairs.map(({ title, targetLagDeg, neighbourLagDeg, loudnessRatio }, i) =>
    `${title}: target at ${targetLagDeg.toFixed(0)} degrees, neighbour at ${neighbourLagDeg.toFixed(0)} and ${
      loudnessRatio.toFixed(2)
    } times as loud, sum at ${angle(arrows[3 * i + 2]!)}`
  );
  return renderPlot(options, {
    name: "virtual-arrows",
    alt: `Simulated signals as arrows in the plane of phase, ${pairs.length} small plots. ${
      said.join("; ")
    }.`,
    legend: names.map((label, i) => ({ label, color: seriesColors[i]!, sign: "line" as const })),
  });
}
