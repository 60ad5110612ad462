import type { DragCurve, GardenDrift } from "../garden/mod.ts";
import { drawFacets } from "./_garden_facets.ts";

/**
 * Draws drag against gap, one small plot a pair of objects, all of one machine: 0 reads as the clean target, 1 as the neighbour.
 *
 * The dashed line is one half; where the curve crosses it stands the half gap with its 95 % interval. Dots are trials with the coil going right,
 * squares left, hollow ones at another depth than the curve's; the band is the curve's, 95 %. Drags outside 0 to 1 are drawn
 * where they lie. Returns an SVG string. Throws RangeError unless the curves are of one machine.
 *
 * @example
 * ```ts
 * import { driftOfTrials, gardenDragByGap } from "overiron";
 * let refused = false;
 * try {
 *   gardenDragByGap(driftOfTrials({ machines: [], settings: [], trials: [] }), []);
 * } catch (error) {
 *   refused = error instanceof RangeError;
 * }
 * if (!refused) throw new Error("nothing to draw");
 * ```
 */
export function gardenDragByGap(drift: GardenDrift, curves: readonly DragCurve[]): string {
  return drawFacets(drift, curves, "drag");
}
