import { isotonicRegression } from "../numbers/mod.ts";
import type { DragPoint } from "./_drag_data.ts";
import { dragAt, fitDragPoints, gridStart } from "./_drag_fit.ts";
import { scaleAt } from "./_drag_sums.ts";

/** A point with the gap as logged beside the distance between centres. */
export type FormPoint = DragPoint & { readonly gap: number };

/** Gives the drag that a form fitted to some points expects at another; null where it says nothing of that pair. */
export type FormFit = (point: FormPoint) => number | null;

/** Names of the forms that can be compared. */
export type DragForm =
  | "the curve in use"
  | "own slope for each pair"
  | "the gap alone, squared"
  | "logistic in the gap"
  | "exponential from a free start"
  | "Gaussian from a free start"
  | "falling, without a form";

/** How the curve in use grows with depth, for the rivals that are not fitted with it; 0 where depth does not vary. */
function depthFactor(points: readonly FormPoint[], pairs: number): number {
  if (new Set(points.map((point) => point.z2)).size < 2) return 0;
  const fit = fitDragPoints(points, pairs, { covariance: false });
  return fit.converged ? fit.f : 0;
}

const distinctGaps = (points: readonly FormPoint[]): number => new Set(points.map((point) => point.gap)).size;

/** Logistic in any measure of distance, one slope for all pairs. */
function logistic(
  points: readonly FormPoint[],
  pairs: number,
  distance: (point: FormPoint) => number,
): FormFit | null {
  const moved = points.map((point) => ({ ...point, x2: distance(point) }));
  const fit = fitDragPoints(moved, pairs, { covariance: false, start: gridStart(moved, pairs) });
  const seen = new Set(points.map((point) => point.pair));
  if (!fit.converged && fit.q.length === 0) return null;
  return (point) =>
    seen.has(point.pair)
      ? dragAt((fit.q[point.pair]! - distance(point) / scaleAt(fit.f, point.z2)) / fit.s)
      : null;
}

/** Start of a pair times a shape that falls from 1, one length for all pairs: the starts are linear, the length is searched for. */
function falling(
  points: readonly FormPoint[],
  pairs: number,
  distance: (point: FormPoint) => number,
): FormFit {
  const u = points.map(distance), widest = Math.max(...u, 1e-6);
  const starts = (length: number): { starts: number[]; squares: number } => {
    const top = new Array<number>(pairs).fill(0), bottom = new Array<number>(pairs).fill(0);
    points.forEach(({ reading, clean, alone, pair }, i) => {
      const apart = clean - alone, shape = Math.exp(-u[i]! / length);
      top[pair]! += shape * apart * (clean - reading);
      bottom[pair]! += shape * shape * apart * apart;
    });
    const found = top.map((value, j) => bottom[j]! > 0 ? value / bottom[j]! : 0);
    let squares = 0;
    points.forEach(({ reading, clean, alone, pair }, i) => {
      squares += (clean - reading - found[pair]! * Math.exp(-u[i]! / length) * (clean - alone)) ** 2;
    });
    return { starts: found, squares };
  };
  let best = widest, least = Infinity;
  for (let k = 0; k <= 40; k++) {
    const length = widest * 2 ** (2 - k / 5), { squares } = starts(length);
    if (squares < least) [least, best] = [squares, length];
  }
  let low = best / 2 ** 0.2, high = best * 2 ** 0.2;
  for (let k = 0; k < 30; k++) {
    const a = low + (high - low) * 0.382, b = low + (high - low) * 0.618;
    if (starts(a).squares < starts(b).squares) high = b;
    else low = a;
  }
  const length = (low + high) / 2, { starts: found } = starts(length);
  const seen = new Set(points.map((point) => point.pair));
  return (point) => seen.has(point.pair) ? found[point.pair]! * Math.exp(-distance(point) / length) : null;
}

/** Drags that only may not rise with the gap, pair by pair; straight lines between the gaps laid, level beyond them. */
function monotone(points: readonly FormPoint[], pairs: number): FormFit {
  const lines = Array.from({ length: pairs }, (_, pair) => {
    const own = points.filter((point) => point.pair === pair).sort((a, b) => a.gap - b.gap);
    if (own.length === 0) return null;
    const gaps = [...new Set(own.map((point) => point.gap))];
    const sums = gaps.map((gap) => {
      let top = 0, weight = 0;
      for (const { gap: each, reading, clean, alone } of own) {
        if (each !== gap) continue;
        const apart = clean - alone;
        top += apart * (clean - reading);
        weight += apart * apart;
      }
      return { drag: top / weight, weight };
    });
    const rising = isotonicRegression(sums.map(({ drag }) => -drag), {
      weights: sums.map(({ weight }) => weight),
    });
    return { gaps, drags: Array.from(rising, (value) => -value) };
  });
  return ({ pair, gap }) => {
    const line = lines[pair];
    if (!line) return null;
    const { gaps, drags } = line, next = gaps.findIndex((each) => each >= gap);
    if (next === 0) return drags[0]!;
    if (next < 0) return drags.at(-1)!;
    const share = (gap - gaps[next - 1]!) / (gaps[next]! - gaps[next - 1]!);
    return drags[next - 1]! + share * (drags[next]! - drags[next - 1]!);
  };
}

function ownSlopes(points: readonly FormPoint[], pairs: number): FormFit {
  const fits = Array.from({ length: pairs }, (_, pair) => {
    const own = points.filter((point) => point.pair === pair).map((point) => ({ ...point, pair: 0 }));
    return distinctGaps(own) < 3 ? null : logistic(own, 1, (point) => point.x2);
  });
  return (point) => fits[point.pair]?.({ ...point, pair: 0 }) ?? null;
}

/**
 * How each form is fitted: least squares on the readings. The logistic forms have the weights of the curve in use, as wherever it is shown, and a growth with depth of
 * their own; the others take its growth, so that none loses only because several depths were laid.
 */
export const fitForms: Readonly<
  Record<DragForm, (points: readonly FormPoint[], pairs: number) => FormFit | null>
> = {
  "the curve in use": (points, pairs) => logistic(points, pairs, (point) => point.x2),
  "own slope for each pair": ownSlopes,
  "the gap alone, squared": (points, pairs) => logistic(points, pairs, (point) => point.gap ** 2),
  "logistic in the gap": (points, pairs) => logistic(points, pairs, (point) => point.gap),
  "exponential from a free start": (points, pairs) => {
    const f = depthFactor(points, pairs);
    return falling(points, pairs, (point) => point.gap / Math.sqrt(scaleAt(f, point.z2)));
  },
  "Gaussian from a free start": (points, pairs) => {
    const f = depthFactor(points, pairs);
    return falling(points, pairs, (point) => point.x2 / scaleAt(f, point.z2));
  },
  "falling, without a form": (points, pairs) => {
    const f = depthFactor(points, pairs);
    const atOneDepth = (point: FormPoint): FormPoint => ({
      ...point,
      gap: point.gap / Math.sqrt(scaleAt(f, point.z2)),
    });
    const fit = monotone(points.map(atOneDepth), pairs);
    return (point) => fit(atOneDepth(point));
  },
};
