import { absent, clusterRobustMean, type Estimate, isPresent, mean, present } from "../numbers/mod.ts";
import { dragAt } from "./_drag_fit.ts";
import type { DragCurve } from "./drag_curve.ts";
import type { GardenDrift, TrialDrift } from "./trial_drift.ts";

const leastBlocks = 4;
const wishedBlocks = 5;

/** The drift of one pair at one gap laid, from the trials at that gap and the nearest others. */
export interface LocalDrift {
  readonly gap_cm: number;
  /** In reading units, at the curve's depth. */
  readonly drift: Estimate;
  /** The gaps whose trials were used. */
  readonly from_cm: readonly number[];
}

/** What the fitted curve gives for a trial at its own depth (`depth_cm`) or at the curve's (null), in reading units. */
function fittedAt(curve: DragCurve, gap_cm: number, apart: number, depth_cm: number | null): number {
  const fit = curve.fit!;
  const deeper = depth_cm === null || curve.depth_cm === null ? 0 : depth_cm ** 2 - curve.depth_cm ** 2;
  const scale = Math.max(0.1, 1 + fit.depthFactorPerCm2 * deeper);
  return apart * dragAt((fit.qCm2 - (gap_cm + curve.touching_cm) ** 2 / scale) / fit.sCm2);
}

/**
 * Gives the drift of a pair at every gap it was laid at, as its trials show it: each trial at that gap or near it is moved along the fitted curve to
 * the gap and to the curve's depth, so that only its distance from the curve counts, and the block means are averaged.
 *
 * The curve's form enters only over the small step from gap to gap: where the curve does not fit, these numbers do not follow it. The nearest
 * gaps are taken until five blocks are in, none further off than 2 cm or half of the gap. 95 % interval by t over block means; absent where
 * fewer than four blocks are near. An empty list where there is no curve.
 *
 * @example
 * ```ts
 * import { driftOfTrials, fitDragCurves, localDrift } from "overiron";
 * const drift = driftOfTrials({ machines: [], settings: [], trials: [] });
 * if (fitDragCurves(drift).flatMap((curve) => localDrift(drift, curve)).length !== 0) throw new Error("nothing was laid");
 * ```
 */
export function localDrift(drift: GardenDrift, curve: DragCurve): readonly LocalDrift[] {
  const { fit, apart } = curve;
  if (fit === null || apart === null) return [];
  const rows = drift.rows.filter((row) => row.pair === curve.pair.key && row.drag !== null);
  const gaps = curve.gaps.map((each) => each.gap_cm);
  return gaps.map((gap_cm): LocalDrift => {
    const from = nearbyGaps(gap_cm, gaps, rows);
    const used = rows.filter((row) => from.includes(row.gap_cm));
    const blocks = [...new Set(used.map((row) => row.block))];
    const off = blocks.map((block) =>
      mean(
        used.filter((row) => row.block === block).map((row) =>
          row.drift - fittedAt(curve, row.gap_cm, row.clean - row.neighbourReading!, row.depth_cm)
        ),
      )
    );
    const n = { trials: new Set(used.map((row) => row.trial_id)).size, blocks: blocks.length };
    const found = clusterRobustMean(off, blocks, { leastClusters: leastBlocks });
    const at = fittedAt(curve, gap_cm, apart, null);
    const estimate = isPresent(found)
      ? present(at + found.value, {
        low: at + found.interval.low,
        high: at + found.interval.high,
        level: 0.95,
        method: `trials near this gap moved along the curve, t over block means, ${blocks.length - 1} df`,
      }, n)
      : absent(
        "too few blocks",
        `An interval needs ${leastBlocks} blocks near this gap, got ${blocks.length}`,
        n,
      );
    return { gap_cm, drift: estimate, from_cm: from };
  });
}

/** The gap itself and its nearest neighbours, until enough blocks are in. */
function nearbyGaps(gap_cm: number, gaps: readonly number[], rows: readonly TrialDrift[]): readonly number[] {
  const reach = Math.max(2, gap_cm / 2);
  const near = gaps.filter((gap) => Math.abs(gap - gap_cm) <= reach)
    .sort((a, b) => Math.abs(a - gap_cm) - Math.abs(b - gap_cm) || a - b);
  const from: number[] = [];
  for (const gap of near) {
    from.push(gap);
    if (
      new Set(rows.filter((row) => from.includes(row.gap_cm)).map((row) => row.block)).size >= wishedBlocks
    ) break;
  }
  return from.sort((a, b) => a - b);
}
