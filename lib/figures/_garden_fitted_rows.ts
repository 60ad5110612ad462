import type { DragCurve, GardenDrift } from "../garden/mod.ts";
import { inReadingOrder } from "./_garden_labels.ts";

/** Trials of fitted pairs, with what the curve expects of each at its own depth. */
export function fittedRows(drift: GardenDrift, curves: readonly DragCurve[]) {
  return inReadingOrder(curves).flatMap((curve) => {
    const { fit, depth_cm: usual } = curve;
    if (fit === null) return [];
    return drift.rows.filter((row) => row.pair === curve.pair.key && row.drag !== null).map((row) => {
      const deeper = row.depth_cm === null || usual === null ? 0 : row.depth_cm ** 2 - usual ** 2;
      const scale = Math.max(0.1, 1 + fit.depthFactorPerCm2 * deeper);
      const eta = (fit.qCm2 - (row.gap_cm + curve.touching_cm) ** 2 / scale) / fit.sCm2;
      const expected = 1 / (1 + Math.exp(-eta));
      return {
        eta,
        drag: row.drag!,
        gap_cm: row.gap_cm,
        target: curve.pair.target,
        left: row.drift - expected * (row.clean - row.neighbourReading!),
      };
    });
  });
}
