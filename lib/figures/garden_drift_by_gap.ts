import type { DragCurve, GardenDrift } from "../garden/mod.ts";
import { drawFacets } from "./_garden_facets.ts";

/**
 * Draws how far each neighbour drags a reading at each gap, one small plot a pair of objects, all of one machine and on one scale.
 *
 * Across: gap in cm; up: drift in reading units (clean minus together). Dots are trials with the coil going right, squares left; hollow ones
 * were laid at another depth than the curve's. The line is the fitted curve with its 95 % band; the grey strip is what passes and display
 * do by themselves. Returns an SVG string. Throws RangeError unless the curves are of one machine.
 *
 * @example
 * ```ts
 * import { driftOfTrials, gardenDriftByGap } from "overiron";
 * let refused = false;
 * try {
 *   gardenDriftByGap(driftOfTrials({ machines: [], settings: [], trials: [] }), []);
 * } catch (error) {
 *   refused = error instanceof RangeError;
 * }
 * if (!refused) throw new Error("nothing to draw");
 * ```
 */
export function gardenDriftByGap(drift: GardenDrift, curves: readonly DragCurve[]): string {
  return drawFacets(drift, curves, "drift");
}
