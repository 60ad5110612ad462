import * as Plot from "@observablehq/plot";
import type { DragCurve, GardenDrift } from "../garden/mod.ts";
import { fittedRows } from "./_garden_fitted_rows.ts";
import { checkOneMachine, slug } from "./_garden_labels.ts";
import { renderPlot } from "./_svg.ts";
import { targetSeries } from "./_target_series.ts";

/**
 * Draws the drags of all pairs of one machine on the one scale on which they should fall on one curve: (q - x^2)/s, the logarithm of how loud the neighbour is beside the
 * target, as fitted; 0 is as loud.
 *
 * Returns an SVG string. Throws RangeError unless the curves are of one machine.
 *
 * @example
 * ```ts
 * import { driftOfTrials, fitDragCurves, gardenCollapse, simulatedGarden } from "overiron";
 * const drift = driftOfTrials(simulatedGarden([{ name: "nail", qCm2: 40 }], { seed: 1, blocks: 6 }));
 * if (!gardenCollapse(drift, fitDragCurves(drift)).startsWith("<svg")) throw new Error("wrong");
 * ```
 */
export function gardenCollapse(drift: GardenDrift, curves: readonly DragCurve[]): string {
  const machine = checkOneMachine("drag by loudness", curves);
  const rows = fittedRows(drift, curves), { targets, dots, legend } = targetSeries(rows);
  const reach = Math.min(8, Math.max(2, ...rows.map((row) => Math.abs(row.eta))));
  const inside = rows.filter((row) => Math.abs(row.eta) <= reach);
  const line = Array.from({ length: 81 }, (_, k) => {
    const eta = -reach + 2 * reach * k / 80;
    return { eta, drag: 1 / (1 + Math.exp(-eta)) };
  });
  return renderPlot({
    width: 720,
    height: 340,
    x: {
      domain: [-reach, reach],
      label: "how loud the neighbour is beside the target: (q - x squared) / s",
      labelAnchor: "center",
      labelArrow: "none",
    },
    y: { label: null, grid: true, nice: true },
    marks: [
      Plot.ruleY([0, 1], { stroke: "currentColor", strokeOpacity: 0.5 }),
      Plot.dot(inside, {
        x: "eta",
        y: "drag",
        ...dots,
      }),
      Plot.line(line, { x: "eta", y: "drag", stroke: "currentColor", strokeWidth: 2 }),
    ],
    symbol: { type: "identity" },
    color: { type: "identity" },
  }, {
    name: `garden-collapse-${slug(machine)}`,
    alt:
      `Drag against fitted relative loudness on ${machine}: ${inside.length} readings of ${targets.length} targets along one curve from 0 to 1${
        inside.length < rows.length ? `; ${rows.length - inside.length} further out are not drawn` : ""
      }.`,
    legend: [
      { label: "up: drag (0 clean, 1 neighbour)", color: "none" },
      ...legend,
    ],
  });
}
