import { isotonicRegression } from "../numbers/mod.ts";
import type { RisingCurve } from "./correction.ts";

/** The best rising curve through chance given and share that came (isotonic regression, equal chances taken together). */
export function risingCurve(given: ArrayLike<number>, came: ArrayLike<number>): RisingCurve {
  const order = Array.from({ length: given.length }, (_, i) => i).sort((a, b) =>
    given[a]! - given[b]! || a - b
  );
  const places: number[] = [], means: number[] = [], weights: number[] = [];
  for (const i of order) {
    const last = places.length - 1;
    if (last >= 0 && given[i] === places[last]) {
      means[last] = (means[last]! * weights[last]! + came[i]!) / (weights[last]! + 1);
      weights[last]! += 1;
    } else {
      places.push(given[i]!);
      means.push(came[i]!);
      weights.push(1);
    }
  }
  const fitted = isotonicRegression(means, { weights });
  // Between two corners of one height the curve is flat: the places inside say nothing more.
  const corner = (k: number): boolean =>
    k === 0 || k === fitted.length - 1 || fitted[k] !== fitted[k - 1] || fitted[k] !== fitted[k + 1];
  const kept = places.map((_, k) => k).filter(corner);
  return { at: kept.map((k) => places[k]!), share: kept.map((k) => fitted[k]!) };
}

/** The height of a rising curve at a place: straight between its corners, flat outside them. */
export function heightOf({ at, share }: RisingCurve, place: number): number {
  let low = 0, high = at.length;
  while (low < high) {
    const middle = low + high >> 1;
    if (at[middle]! <= place) low = middle + 1;
    else high = middle;
  }
  if (low === 0) return share[0]!;
  if (low === at.length) return share[low - 1]!;
  const part = (place - at[low - 1]!) / (at[low]! - at[low - 1]!);
  return share[low - 1]! + part * (share[low]! - share[low - 1]!);
}
