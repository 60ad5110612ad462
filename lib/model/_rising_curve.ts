import { isotonicRegression } from "../numbers/mod.ts";

/**
 * The best rising curve through chance given and share that came (isotonic regression, equal chances taken together): straight
 * between its corners, flat outside them.
 */
export function risingCurve(given: ArrayLike<number>, came: ArrayLike<number>): (at: number) => number {
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
  return (at) => {
    let low = 0, high = places.length;
    while (low < high) {
      const middle = low + high >> 1;
      if (places[middle]! <= at) low = middle + 1;
      else high = middle;
    }
    if (low === 0) return fitted[0]!;
    if (low === places.length) return fitted[low - 1]!;
    const part = (at - places[low - 1]!) / (places[low]! - places[low - 1]!);
    return fitted[low - 1]! + part * (fitted[low]! - fitted[low - 1]!);
  };
}
