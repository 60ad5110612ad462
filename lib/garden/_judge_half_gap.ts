import {
  absent,
  clusterRobustMean,
  type Counts,
  type Estimate,
  isPresent,
  present,
  studentQuantile,
} from "../numbers/mod.ts";
import { degreesOf, dragAt, type DragFit, scoreLimit } from "./_drag_fit.ts";
import { formStretch } from "./_form_error.ts";
import { closerGaps, moreBlocks, widerGaps } from "./_lay_next.ts";
import { cannotTell } from "./_why_no_drag.ts";
import type { GapDrags } from "./drag_curve.ts";

/** "Never" is only said of pairs that were laid this close. */
const closestForNever_cm = 2;

/** What a fit says about one pair. */
export interface Judged {
  readonly qCm2: Estimate;
  readonly halfGapCm: Estimate;
  readonly layNext: string | null;
  /** Whether the interval of q stands on its standard error, so that a band round the curve makes sense. */
  readonly regular: boolean;
}

/** From the fitted q to a half gap, "never" or "cannot tell yet". */
export function judgeHalfGap(
  fit: DragFit,
  at: { index: number; touching: number; gaps: readonly GapDrags[]; blocks: number; n: Counts },
): Judged {
  const { index, touching, gaps, blocks, n } = at;
  const { points } = fit;
  let regular = false;
  const no = (word: string, layNext: string, reason: string, q?: Estimate): Judged => {
    const { estimate } = cannotTell(reason, layNext, n);
    return { qCm2: q ?? absent(word, reason, n), halfGapCm: estimate, layNext, regular };
  };
  if (!fit.converged) {
    const close = points.filter((point) =>
      point.pair === index && point.x2 <= (touching + closestForNever_cm) ** 2
    );
    const drag = clusterRobustMean(close.map((point) => point.drag), close.map((point) => point.block), {
      leastClusters: 4,
    });
    if (isPresent(drag) && drag.interval.high < 0.5 && gaps.every((each) => each.medianDrag < 0.5)) {
      const reason =
        `No curve can be fitted, but already at gaps up to ${closestForNever_cm} cm the drag's upper limit lies below one half`;
      return {
        qCm2: absent("no fit", reason, n),
        halfGapCm: absent("never", reason, n),
        layNext: null,
        regular,
      };
    }
    return no(
      "no fit",
      widerGaps(gaps),
      "The drags do not fall as the gap widens, so that no curve fits them",
    );
  }
  const q = fit.q[index]!, touching2 = touching ** 2, df = degreesOf(fit, index, blocks);
  const t = studentQuantile(0.975, df);
  const own = points.filter((point) => point.pair === index);
  const shown = own.map((point) => dragAt((q - point.x2) / fit.s));
  const variance = fit.covariance?.[index]?.[index] ?? 0;
  const vague = !(variance > 0) || t * Math.sqrt(variance) > fit.s;
  const weak = Math.max(...shown) < 0.15, strong = Math.min(...shown) > 0.85;
  const x2 = own.map((point) => point.x2);
  let low: number | null = null,
    high: number | null = null,
    method = `cluster-robust t (CR2), ${Number(df.toFixed(1))} df, with the form's own error`;
  if (variance > 0 && !(vague && (weak || strong))) {
    regular = true;
    const error = Math.sqrt(variance), half = t * error * formStretch(fit.s, variance);
    low = q - half;
    high = q + half;
  } else {
    const from = Math.min(Math.max(q, Math.min(...x2) - 4 * fit.s), Math.max(...x2) + 4 * fit.s);
    const options = { t: studentQuantile(0.975, blocks - 1), from };
    method = `t test of the block scores, ${blocks - 1} df`;
    high = scoreLimit(own, fit, { ...options, to: Math.max(...x2, touching2) + 4 * fit.s });
    low = scoreLimit(own, fit, { ...options, to: Math.min(...x2, touching2) - 4 * fit.s });
  }
  const estimate: Estimate = low !== null && high !== null && !weak && !strong
    ? present(q, { low, high, level: 0.95, method }, n)
    : weak
    ? absent(
      "no lower limit",
      "All drags lie near 0: q lies far below, where the form no longer tells how far",
      n,
    )
    : strong
    ? absent(
      "no upper limit",
      "All drags lie near 1: q lies far above, where the form no longer tells how far",
      n,
    )
    : absent("no interval", "The trials do not fix q", n);
  if (high !== null && high < touching2) {
    if (gaps[0]!.gap_cm > closestForNever_cm) {
      const reason = `The curve says never, but nothing was laid closer than ${gaps[0]!.gap_cm} cm`;
      return no("too far", closerGaps(gaps), reason, estimate);
    }
    const reason = touching > 0
      ? "The upper 95 % limit of q lies below the square of the touching distance: even touching, the drag stays under one half"
      : "The upper 95 % limit of q lies below 0: even at a gap of 0 the drag stays under one half";
    return { qCm2: estimate, halfGapCm: absent("never", reason, n), layNext: null, regular };
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
  return { qCm2: estimate, halfGapCm, layNext: null, regular };
}
