import { inverse, Matrix } from "ml-matrix";
import { isPresent } from "../numbers/mod.ts";
import type { DragCurve } from "./drag_curve.ts";
import { type DragFit, fitDragPoints, focusPower, focusWeights } from "./_drag_fit.ts";
import { addSums, dragAt, emptySums } from "./_drag_sums.ts";
import { groupPoints, groupsOf } from "./_group_points.ts";
import type { GardenDrift, LaidPair } from "./trial_drift.ts";

export interface NextTrialsOptions {
  readonly curves: readonly DragCurve[];
  /** Trials to add to each pair. Default 8. */
  readonly trials?: number;
}

/** Where more trials of a pair shrink the interval of its half gap most. */
export interface NextTrials {
  readonly pair: LaidPair;
  /** Gaps to lay, each in a block of its own with its controls, the most useful first. */
  readonly gapsCm: readonly number[];
  /** Width of the half gap's 95 % interval now, and what these trials should bring it to; null where there is none yet. */
  readonly widthNowCm: number | null;
  readonly widthAfterCm: number | null;
  /** In words, where the half gap cannot be told yet. */
  readonly advice: string | null;
}

/**
 * Proposes which gaps to lay next for each pair: those that, added to the trials there are, shrink the standard error of q most, chosen one at a time (c-optimal exchange:
 * Atkinson, Donev and Tobias 2007, Optimum Experimental Designs, chapters 10 and 11), s being fitted along.
 *
 * Each trial counts as two readings with the scatter of the fit, read against its own controls. Candidates run in half centimetres from 0 to one and a half times the widest gap laid. Pairs without a fitted
 * curve get the advice of `fitDragCurves` and its gaps are empty. Pairs that read never are left out: nothing is to be shrunk. Throws RangeError unless
 * trials is a whole number of 1 or above.
 *
 * @example
 * ```ts
 * import { driftOfTrials, fitDragCurves, nextTrials, simulatedGarden } from "overiron";
 * const drift = driftOfTrials(simulatedGarden([{ name: "nail", qCm2: 40 }], { seed: 1, blocks: 6 }));
 * const [only] = nextTrials(drift, { curves: fitDragCurves(drift), trials: 4 });
 * if (only!.gapsCm.length !== 4 || !(only!.widthAfterCm! < only!.widthNowCm!)) throw new Error("wrong");
 * ```
 */
export function nextTrials(drift: GardenDrift, options: NextTrialsOptions): readonly NextTrials[] {
  const { curves, trials = 8 } = options;
  if (!Number.isSafeInteger(trials) || trials < 1) {
    throw new RangeError(`Cannot propose trials: trials must be a whole number of 1 or above, got ${trials}`);
  }
  return groupsOf(drift).flatMap((pairs) => {
    const group = groupPoints(drift, pairs);
    const fit = group.points.length > group.fitted.length + 2
      ? fitDragPoints(group.points, group.fitted.length, { covariance: false })
      : null;
    return pairs.flatMap((pair, i): NextTrials[] => {
      const curve = curves.find((each) => each.pair.key === pair.key);
      if (curve === undefined || ("absent" in curve.halfGapCm && curve.halfGapCm.absent === "never")) {
        return [];
      }
      const index = group.fitted.indexOf(i);
      if (fit === null || !fit.converged || index < 0 || !fit.free.includes(index) || curve.fit === null) {
        return [{ pair, gapsCm: [], widthNowCm: null, widthAfterCm: null, advice: curve.layNext }];
      }
      const { gapsCm, ratio } = exchange(fit, index, { curve, trials });
      const half = curve.halfGapCm;
      const now = isPresent(half) ? half.interval.high - half.interval.low : null;
      return [{
        pair,
        gapsCm,
        widthNowCm: now,
        widthAfterCm: now === null ? null : now * ratio,
        advice: curve.layNext,
      }];
    });
  });
}

/** Adds one gap after another, the one that leaves least variance of q. */
function exchange(
  fit: DragFit,
  index: number,
  at: { readonly curve: DragCurve; readonly trials: number },
): { gapsCm: number[]; ratio: number } {
  const { curve, trials } = at;
  const { pairs } = fit.data, full = pairs + 2;
  const sums = emptySums(fit.data);
  addSums(fit.data, fit.theta, sums, { weights: fit.weights, slopes: true });
  const place = fit.free.indexOf(index), slope = fit.free.indexOf(pairs);
  const normal = new Matrix(
    fit.free.map((a) => fit.free.map((b) => sums.normal[Math.min(a, b) * full + Math.max(a, b)]!)),
  );
  const widest = Math.max(...curve.gaps.map((each) => each.gap_cm));
  const candidates = Array.from({ length: Math.floor(widest * 3) + 1 }, (_, k) => k / 2);
  const gains = candidates.map((gap) => {
    const eta = (fit.q[index]! - (gap + curve.touching_cm) ** 2) / fit.s, p = dragAt(eta);
    const steep = p * (1 - p) * Math.abs(curve.apart!);
    const weight = focusWeights({ ...sums, drag: Float64Array.of(p) }, focusPower)[0]!;
    // Two readings a trial; the noise of its own controls, as large as its own, adds (1 - p)^2 + p^2 to the variance.
    const share = 2 * weight / (1 + (1 - p) ** 2 + p * p);
    const row = new Array<number>(fit.free.length).fill(0);
    row[place] = steep / fit.s;
    row[slope] = -steep * eta;
    return Matrix.columnVector(row).mul(Math.sqrt(share));
  });
  const before = inverse(normal).get(place, place);
  const gapsCm: number[] = [];
  let after = before;
  for (let k = 0; k < trials; k++) {
    const covariance = inverse(normal);
    let best = 0, least = Infinity;
    gains.forEach((gain, c) => {
      // One row more: Sherman and Morrison (1950).
      const moved = covariance.mmul(gain);
      const left = covariance.get(place, place) -
        moved.get(place, 0) ** 2 / (1 + gain.transpose().mmul(moved).get(0, 0));
      if (left < least - 1e-12) [least, best] = [left, c];
    });
    const gain = gains[best]!;
    normal.add(gain.mmul(gain.transpose()));
    gapsCm.push(candidates[best]!);
    after = least;
  }
  return { gapsCm, ratio: Math.sqrt(after / before) };
}
