import {
  absent,
  type Counts,
  type Estimate,
  isPresent,
  median,
  present,
  studentQuantile,
} from "../numbers/mod.ts";
import { dragAt, type DragFit, type DragPoint, fitDragPoints, scoreLimit } from "./_drag_fit.ts";
import { closerGaps, moreBlocks, moreGaps, widerGaps } from "./_lay_next.ts";
import type { DragCurve, DragCurveFit, GapDrags } from "./drag_curve.ts";
import type { GardenDrift, LaidPair, TrialDrift } from "./trial_drift.ts";

const leastGaps = 4;
const leastBlocks = 4;

type Usable = TrialDrift & { readonly drag: number; readonly neighbourReading: number };
const usable = (row: TrialDrift): row is Usable => row.drag !== null && row.neighbourReading !== null;

const countDistinct = <T>(items: readonly T[]): number => new Set(items).size;

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

/** The most frequent depth, the shallower of equals; null where none is logged. */
function usualDepth(rows: readonly Usable[]): number | null {
  const counts = new Map<number, number>();
  for (const { depth_cm } of rows) {
    if (depth_cm !== null) counts.set(depth_cm, (counts.get(depth_cm) ?? 0) + 1);
  }
  return [...counts].sort((a, b) => b[1] - a[1] || a[0] - b[0])[0]?.[0] ?? null;
}

/** Says "cannot tell yet" with what is missing and what to lay next. */
function cannotTell(reason: string, layNext: string, n: Counts): { estimate: Estimate; layNext: string } {
  return { estimate: absent("cannot tell yet", `${reason}. ${layNext}`, n), layNext };
}

/** Why a pair has no drag at all, from what was set aside, and what to lay next. */
function whyNothing(drift: GardenDrift, pair: LaidPair, n: Counts) {
  const rows = drift.rows.filter((row) => row.pair === pair.key);
  const silent = drift.silent.filter((each) => each.pair === pair.key);
  const aside = drift.setAside.filter((each) => each.pair === pair.key);
  const controls =
    "Lay the target alone and the neighbour alone once in every block, at the same depth and coil height";
  if (rows.length > 0) {
    return cannotTell(
      rows[0]!.noDrag!,
      rows.some((row) => row.neighbourReading === null)
        ? controls
        : "Pick a neighbour whose own reading lies further from the target's",
      n,
    );
  }
  if (aside.some((each) => each.reason.startsWith("The target was never"))) {
    return cannotTell(
      aside.find((each) => each.reason.startsWith("The target was never"))!.reason,
      controls,
      n,
    );
  }
  if (silent.length > 0) {
    return cannotTell(
      `All ${silent.length} readings were silent, and silence is not a number`,
      "Lay wider gaps, or switch off what silences iron, and read again",
      n,
    );
  }
  const reason = aside[0]?.reason ?? "No trial of this pair has a reading";
  return cannotTell(
    reason,
    reason.includes("two units") ? "Write the gaps in centimetres and load the log again" : moreGaps([]),
    n,
  );
}

interface Judged {
  readonly qCm2: Estimate;
  readonly halfGapCm: Estimate;
  readonly layNext: string | null;
}

/** From the fitted q to a half gap, "never" or "cannot tell yet". */
function judge(
  points: readonly DragPoint[],
  fit: DragFit,
  at: { index: number; touching: number; gaps: readonly GapDrags[]; blocks: number; n: Counts },
): Judged {
  const { index, touching, gaps, blocks, n } = at;
  const no = (word: string, layNext: string, reason: string, q?: Estimate): Judged => {
    const { estimate } = cannotTell(reason, layNext, n);
    return { qCm2: q ?? absent(word, reason, n), halfGapCm: estimate, layNext };
  };
  if (!fit.converged) {
    return no(
      "no fit",
      widerGaps(gaps),
      "The drags do not fall as the gap widens, so that no curve fits them",
    );
  }
  const q = fit.q[index]!, touching2 = touching ** 2, df = blocks - 1;
  const t = studentQuantile(0.975, df);
  const own = points.filter((point) => point.pair === index);
  const shown = own.map((point) => dragAt((q - point.x2) / fit.s));
  const weak = Math.max(...shown) < 0.15, strong = Math.min(...shown) > 0.85;
  const variance = fit.covariance?.[index]?.[index];
  const x2 = own.map((point) => point.x2);
  let low: number | null = null, high: number | null = null, method = `cluster-robust t (CR2), ${df} df`;
  if (!weak && !strong && variance !== undefined && variance > 0) {
    low = q - t * Math.sqrt(variance);
    high = q + t * Math.sqrt(variance);
  } else {
    const from = Math.min(Math.max(q, Math.min(...x2) - 4 * fit.s), Math.max(...x2) + 4 * fit.s);
    const options = { t, from };
    method = `t test of the block scores, ${df} df`;
    high = scoreLimit(own, fit, { ...options, to: Math.max(...x2, touching2) + 4 * fit.s });
    low = scoreLimit(own, fit, { ...options, to: Math.min(...x2, touching2) - 4 * fit.s });
  }
  const estimate: Estimate = low !== null && high !== null && !weak && !strong
    ? present(q, { low, high, level: 0.95, method }, n)
    : absent(
      high === null ? "no upper limit" : "no lower limit",
      weak
        ? "All drags lie near 0: q lies somewhere far below"
        : "All drags lie near 1: q lies somewhere far above",
      n,
    );
  if (high !== null && high < touching2) {
    const reason = touching > 0
      ? "The upper 95 % limit of q lies below the square of the touching distance: even touching, the drag stays under one half"
      : "The upper 95 % limit of q lies below 0: even at a gap of 0 the drag stays under one half";
    return { qCm2: estimate, halfGapCm: absent("never", reason, n), layNext: null };
  }
  const above = gaps.some((each) => each.medianDrag > 0.5),
    below = gaps.some((each) => each.medianDrag < 0.5);
  if (!below) return no("one side only", widerGaps(gaps), "Every drag lies above one half", estimate);
  if (!above) {
    return no(
      "one side only",
      closerGaps(gaps),
      "Every drag lies below one half, but not surely so when touching",
      estimate,
    );
  }
  if (!isPresent(estimate) || low === null || high === null || low <= touching2) {
    return no(
      "too uncertain",
      `${closerGaps(gaps)}, and ${moreBlocks(blocks, blocks + 4).toLowerCase()}`,
      "The interval of q reaches down to the touching distance: the half gap may be anything from none upwards",
      estimate,
    );
  }
  const gapAt = (value: number): number => Math.sqrt(value) - touching;
  const halfGapCm = present(gapAt(q), { low: gapAt(low), high: gapAt(high), level: 0.95, method }, n);
  return { qCm2: estimate, halfGapCm, layNext: null };
}

/**
 * Fits drag against gap for every pair of objects as laid and gives each pair's half gap, "never", or "cannot tell yet" with what to lay next.
 *
 * The curve is logit(drag) = (q - x^2)/s with x the distance between centres in cm (gap, target radius and half of the neighbour towards it) where
 * sizes are logged, else the gap alone. q belongs to a pair, s to the target: pairs of one target, machine, settings, coil height and medium
 * share it. Where several depths were laid q and s grow together, 1 + f (depth^2 - reference^2), f fitted. Fitted by least squares on the
 * readings (clean minus drag times what lies between clean and neighbour), one median a trial and direction, drags never clipped.
 *
 * 95 % intervals stand on q: cluster-robust (CR2) t over the blocks in which the pair was laid, blocks minus 1 degrees of freedom; where all drags
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
  const groups = [...new Set(drift.pairs.map((pair) => pair.group))];
  const curves = groups.flatMap((group) =>
    fitGroup(drift, drift.pairs.filter((pair) => pair.group === group))
  );
  return drift.pairs.map((pair) => curves.find((curve) => curve.pair === pair)!);
}

function fitGroup(drift: GardenDrift, pairs: readonly LaidPair[]): DragCurve[] {
  const rowsOf = pairs.map((pair) => drift.rows.filter((row) => row.pair === pair.key).filter(usable));
  const depth_cm = usualDepth(rowsOf.flat());
  const fitted = pairs.flatMap((_, i) =>
    countDistinct(rowsOf[i]!.map((row) => row.gap_cm)) >= leastGaps ? [i] : []
  );
  const blockNames = [...new Set(rowsOf.flat().map((row) => row.block))];
  const touchingOf = (pair: LaidPair): number => pair.touching_cm ?? 0;
  const points = fitted.flatMap((i, index) =>
    rowsOf[i]!.map((row): DragPoint => ({
      x2: (row.gap_cm + touchingOf(pairs[i]!)) ** 2,
      z2: depth_cm === null || row.depth_cm === null ? 0 : row.depth_cm ** 2 - depth_cm ** 2,
      drag: row.drag,
      apart: row.clean - row.neighbourReading,
      pair: index,
      block: blockNames.indexOf(row.block),
    }))
  );
  const depthVaries = countDistinct(points.map((point) => point.z2)) > 1;
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
        ? { "trials on weaker controls": countDistinct(weaker.map((row) => row.trial_id)) }
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
    if (rows.length === 0) return without(whyNothing(drift, pair, n));
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
      degreesOfFreedom: blocks - 1,
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
    return {
      ...base,
      fit: fit.converged ? curve : null,
      ...judge(points, fit, { index, touching, gaps, blocks, n }),
    };
  });
}
