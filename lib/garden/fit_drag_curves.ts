import { absent, type Counts, type Estimate, isPresent, median } from "../numbers/mod.ts";
import { degreesOf, fitDragPoints } from "./_drag_fit.ts";
import { countDistinct, groupPoints, groupsOf, leastGaps, type Usable } from "./_group_points.ts";
import { judgeHalfGap } from "./_judge_half_gap.ts";
import { moreBlocks, moreGaps } from "./_lay_next.ts";
import { cannotTell, whyNoDrag } from "./_why_no_drag.ts";
import type { DragCurve, DragCurveFit, GapDrags } from "./drag_curve.ts";
import type { GardenDrift, LaidPair } from "./trial_drift.ts";

const leastBlocks = 4;

function gapDrags(rows: readonly Usable[]): GapDrags[] {
  const gaps = [...new Set(rows.map((row) => row.gap_cm))].sort((a, b) => a - b);
  return gaps.map((gap_cm) => {
    const own = rows.filter((row) => row.gap_cm === gap_cm);
    return {
      gap_cm,
      medianDrag: median(own.map((row) => row.drag)),
      trials: countDistinct(own.map((row) => row.trial_id)),
    };
  });
}

/**
 * Fits drag against gap for every pair of objects as laid and gives each pair's half gap, "never", or "cannot tell yet" with what to lay next.
 *
 * The curve is logit(drag) = (q - x^2)/s with x the distance between centres in cm (gap, target radius and half of the neighbour towards it) where
 * sizes are logged, else the gap alone. q belongs to a pair, s to the target: pairs of one target, machine, settings, coil height and medium
 * share it. Where several depths were laid q and s grow together, 1 + f (depth^2 - reference^2), f fitted. Fitted by least squares on the
 * readings (clean minus drag times what lies between clean and neighbour), one median a trial and direction, drags never clipped; the readings
 * of the controls are in the sum, so that clean and neighbour's readings are fitted along. Trials count by (4 p (1 - p))^4, p the fitted drag (at
 * least 0.1): far from one half the physics is not logistic, and without these weights the ends would pull q off by up to 1 cm2.
 *
 * 95 % intervals stand on q: cluster-robust (CR2) t over the blocks in which the pair was laid, blocks minus 1 degrees of freedom (Satterthwaite's, where few
 * of the blocks carry the pair and it is less than half of that), stretched for what the form itself may be off (0.013 s); where all drags
 * lie near 0 or near 1, so that q itself has no finite standard error, limits come from a t test of the blocks' scores. None under
 * four blocks. Half gap = sqrt(q) minus the touching distance; it is given when the lower limit of q lies above the touching distance squared and median
 * drags lie on both sides of one half; "never" when the upper limit lies below it. A curve needs four distinct gaps.
 * The form is derived in the virtual garden's physics (two dipoles added in the plane of phase); it is a working curve, not a law.
 *
 * @example
 * ```ts
 * import { driftOfTrials, fitDragCurves } from "overiron";
 * const curves = fitDragCurves(driftOfTrials({ machines: [], settings: [], trials: [] }));
 * if (curves.length !== 0) throw new Error("no pair was laid");
 * ```
 */
export function fitDragCurves(drift: GardenDrift): readonly DragCurve[] {
  const curves = groupsOf(drift).flatMap((pairs) => fitGroup(drift, pairs));
  return drift.pairs.map((pair) => curves.find((curve) => curve.pair === pair)!);
}

function fitGroup(drift: GardenDrift, pairs: readonly LaidPair[]): DragCurve[] {
  const { rowsOf, fitted, points, depth_cm, depthVaries } = groupPoints(drift, pairs);
  const touchingOf = (pair: LaidPair): number => pair.touching_cm ?? 0;
  const enough = points.length > fitted.length + (depthVaries ? 2 : 1);
  const fit = enough ? fitDragPoints(points, fitted.length) : null;
  return pairs.map((pair, i): DragCurve => {
    const rows = rowsOf[i]!, gaps = gapDrags(rows), index = fitted.indexOf(i);
    const blocks = countDistinct(rows.map((row) => row.block));
    const weaker = rows.filter((row) => row.cleanFrom !== "same block" || row.neighbourFrom !== "same block");
    const silent = drift.silent.filter((each) => each.pair === pair.key).length;
    const n: Counts = {
      trials: countDistinct(rows.map((row) => row.trial_id)),
      blocks,
      ...(weaker.length > 0
        ? { "weaker-control trials": countDistinct(weaker.map((row) => row.trial_id)) }
        : {}),
      ...(silent > 0 ? { "silent readings": silent } : {}),
    };
    const touching = touchingOf(pair);
    const base = {
      pair,
      depth_cm,
      depthVaries,
      distance: pair.touching_cm === null ? "gap" as const : "centres" as const,
      touching_cm: touching,
      apart: rows.length > 0 ? median(rows.map((row) => row.clean - row.neighbourReading)) : null,
      gaps,
      n,
    };
    const without = (
      { estimate, layNext }: { estimate: Estimate; layNext: string },
      curve: DragCurveFit | null = null,
    ): DragCurve => ({
      ...base,
      fit: curve,
      qCm2: isPresent(estimate) ? estimate : absent("no interval", estimate.reason, n),
      halfGapCm: estimate,
      layNext,
    });
    if (rows.length === 0) return without(whyNoDrag(drift, pair, n));
    if (index < 0 || fit === null) {
      return without(
        cannotTell(
          `A curve needs ${leastGaps} distinct gaps, this pair has ${gaps.length}`,
          moreGaps(gaps),
          n,
        ),
      );
    }
    const last = fitted.length, c = fit.covariance;
    const curve: DragCurveFit = {
      qCm2: fit.q[index]!,
      sCm2: fit.s,
      covariance: c === null || blocks < leastBlocks
        ? null
        : [[c[index]![index]!, c[index]![last]!], [c[last]![index]!, c[last]![last]!]],
      degreesOfFreedom: degreesOf(fit, index, blocks),
      residualSd: fit.residualSd,
      depthFactorPerCm2: fit.f,
    };
    if (blocks < leastBlocks) {
      return without(
        cannotTell(
          `An interval needs ${leastBlocks} blocks, this pair has ${blocks}`,
          moreBlocks(blocks, leastBlocks),
          n,
        ),
        fit.converged ? curve : null,
      );
    }
    const { regular, ...judged } = judgeHalfGap(fit, { index, touching, gaps, blocks, n });
    const shown = regular ? curve : { ...curve, covariance: null };
    return { ...base, fit: fit.converged ? shown : null, ...judged };
  });
}
