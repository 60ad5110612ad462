import * as Plot from "@observablehq/plot";
import type { DragCurve, GardenDrift } from "../garden/mod.ts";
import { fittedRows } from "./_garden_fitted_rows.ts";
import { checkOneMachine, slug } from "./_garden_labels.ts";
import { renderPlot } from "./_svg.ts";
import { targetSeries } from "./_target_series.ts";

/**
 * Draws what the fitted curves leave over: drift less the fitted drift, in reading units, against the gap, one colour a target, all pairs of one machine.
 *
 * Readings that lie to one side over a stretch of gaps show where the curve's form does not hold. Returns an SVG string. Throws RangeError unless the curves are of one
 * machine.
 *
 * @example
 * ```ts
 * import { driftOfTrials, fitDragCurves, gardenResiduals, simulatedGarden } from "overiron";
 * const drift = driftOfTrials(simulatedGarden([{ name: "nail", qCm2: 40 }], { seed: 1, blocks: 6 }));
 * if (!gardenResiduals(drift, fitDragCurves(drift)).startsWith("<svg")) throw new Error("wrong");
 * ```
 */
export function gardenResiduals(drift: GardenDrift, curves: readonly DragCurve[]): string {
  const machine = checkOneMachine("residuals", curves);
  const rows = fittedRows(drift, curves), { targets, dots, legend } = targetSeries(rows);
  return renderPlot({
    width: 720,
    height: 320,
    x: { label: "gap, cm", labelAnchor: "center", labelArrow: "none" },
    y: { label: null, grid: true, nice: true },
    marks: [
      Plot.ruleY([0], { stroke: "currentColor" }),
      Plot.dot(rows, {
        x: "gap_cm",
        y: "left",
        ...dots,
      }),
    ],
    symbol: { type: "identity" },
    color: { type: "identity" },
  }, {
    name: `garden-residuals-${slug(machine)}`,
    alt:
      `Drift less fitted drift against gap on ${machine}, ${rows.length} readings of ${targets.length} targets, scattered about 0.`,
    legend: [
      { label: "up: drift less fitted drift, reading units", color: "none" },
      ...legend,
    ],
  });
}
