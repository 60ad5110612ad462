import * as Plot from "@observablehq/plot";
import type { DragCurve, GardenDrift, KnownLoudness } from "../garden/mod.ts";
import { median } from "../numbers/mod.ts";
import { closedFormDrag } from "../virtual/mod.ts";
import { checkOneMachine, inReadingOrder, slug } from "./_garden_labels.ts";
import { renderPlot } from "./_svg.ts";
import { targetSeries } from "./_target_series.ts";

export interface GardenKnownCollapseOptions {
  /** By trial_id, as `knownLoudness` gives. */
  readonly loudness: ReadonlyMap<string, KnownLoudness>;
}

/**
 * Draws the drags of all pairs of one machine against how loud the neighbour is beside the target by the physics of the sizes logged, which owes nothing to the readings; the line is what
 * two signals added give.
 *
 * Across: times as loud as the target, in powers of two; 1 is as loud. Readings of trials whose loudness is not known are left out, and those under 1/32 or over 32 times as loud are
 * counted in the alternative text. Returns an SVG string. Throws RangeError unless the curves are of one machine and one reading has a known loudness.
 *
 * @example
 * ```ts
 * import { driftOfTrials, fitDragCurves, gardenKnownCollapse, simulatedGarden } from "overiron";
 * const garden = simulatedGarden([{ name: "nail", qCm2: 40 }], { seed: 1, blocks: 6 }), drift = driftOfTrials(garden);
 * const loudness = new Map(garden.trials.map((trial) => [trial.trial_id, { loudnessRatio: 1, phaseDifferenceDeg: 130 }]));
 * if (!gardenKnownCollapse(drift, fitDragCurves(drift), { loudness }).startsWith("<svg")) throw new Error("wrong");
 * ```
 */
export function gardenKnownCollapse(
  drift: GardenDrift,
  curves: readonly DragCurve[],
  options: GardenKnownCollapseOptions,
): string {
  const { loudness } = options;
  const machine = checkOneMachine("drag by known loudness", curves);
  const rows = inReadingOrder(curves).flatMap((curve) =>
    drift.rows.flatMap((row) => {
      const known = loudness.get(row.trial_id);
      return row.pair !== curve.pair.key || row.drag === null || known === undefined
        ? []
        : [{ target: curve.pair.target, drag: row.drag, ...known }];
    })
  );
  if (rows.length === 0) {
    throw new RangeError("Cannot draw drag by known loudness: need a reading whose loudness is known, got 0");
  }
  const reach = 32;
  const inside = rows.filter(({ loudnessRatio: ratio }) => ratio >= 1 / reach && ratio <= reach);
  const { targets, dots, legend } = targetSeries(rows);
  const phase = median(rows.map((row) => row.phaseDifferenceDeg));
  const most = Math.max(2, ...inside.map((row) => row.loudnessRatio));
  const least = Math.min(1 / 2, ...inside.map((row) => row.loudnessRatio));
  const line = Array.from({ length: 81 }, (_, k) => {
    const loudnessRatio = least * (most / least) ** (k / 80);
    return { loudnessRatio, drag: closedFormDrag(loudnessRatio, phase) };
  });
  return renderPlot({
    width: 720,
    height: 340,
    x: {
      type: "log",
      base: 2,
      domain: [least, most],
      tickFormat: (ratio: number) => ratio < 1 ? `1/${Math.round(1 / ratio)}` : String(ratio),
      label: "times as loud as the target, by the physics of the sizes",
      labelAnchor: "center",
      labelArrow: "none",
    },
    y: { label: null, grid: true, nice: true },
    marks: [
      Plot.ruleY([0, 0.5, 1], { stroke: "currentColor", strokeOpacity: 0.5 }),
      Plot.ruleX([1], { stroke: "currentColor", strokeOpacity: 0.5, strokeDasharray: "5 3" }),
      Plot.dot(inside, {
        x: "loudnessRatio",
        y: "drag",
        ...dots,
      }),
      Plot.line(line, { x: "loudnessRatio", y: "drag", stroke: "currentColor", strokeWidth: 2 }),
    ],
    symbol: { type: "identity" },
    color: { type: "identity" },
  }, {
    name: `garden-known-collapse-${slug(machine)}`,
    alt:
      `Drag against relative loudness by physics on ${machine}: ${inside.length} readings of ${targets.length} targets, and the line of two signals ${
        phase.toFixed(0)
      } degrees apart, which is one half where both are as loud${
        inside.length < rows.length ? `; ${rows.length - inside.length} further out are not drawn` : ""
      }.`,
    legend: [
      { label: "up: drag (0 clean, 1 neighbour)", color: "none" },
      ...legend,
    ],
  });
}
