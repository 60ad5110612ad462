import { classesOf } from "./correct_chances.ts";
import type { Correction } from "./correction.ts";
import { risingCurve } from "./_rising_curve.ts";

/** Powers at and beyond these say that no temperature fits best: the chances tell nothing, or all. */
const MOST_POWER = 20;

/** Chances and outcomes from which corrections are fitted to one choice of rows after another. */
export interface CorrectionFit {
  /** A correction fitted to these rows; null where there are none, or where no temperature fits best. */
  (rows: readonly number[]): Correction | null;
}

/** Makes what fits corrections. `probabilities` is n x 3 by row, all above 0; `truth` is 0, 1 or 2 a row, 1 standing for all goods with two classes. */
export function correctionFit(
  probabilities: Float64Array,
  truth: Uint8Array,
  options: { readonly method: Correction["method"]; readonly classes: 2 | 3 },
): CorrectionFit {
  const { method, classes } = options;
  const given = Array.from({ length: classes }, () => new Float64Array(truth.length));
  truth.forEach((_, i) => classesOf(probabilities, i, classes).forEach((chance, k) => given[k]![i] = chance));
  if (method === "temperature") {
    const logs = given.map((chances) => chances.map(Math.log));
    return (rows) => {
      const power = rows.length === 0 ? 0 : bestPower(logs, truth, rows);
      return power > 0 && power < MOST_POWER ? { version: 1, method, classes, temperature: 1 / power } : null;
    };
  }
  // Sorted once; what is left of a sorted list is sorted.
  const order = given.map((chances) => [...truth.keys()].sort((a, b) => chances[a]! - chances[b]! || a - b));
  return (rows) => {
    if (rows.length === 0) return null;
    const asked = new Uint8Array(truth.length);
    for (const row of rows) asked[row] = 1;
    const curves = given.map((chances, k) => {
      const kept = order[k]!.filter((row) => asked[row] === 1);
      return risingCurve(kept.map((row) => chances[row]!), kept.map((row) => truth[row] === k ? 1 : 0));
    });
    return { version: 1, method, classes, learntFrom: rows.length, curves };
  };
}

/** The power that makes p^power, scaled to sum to 1, fit what came out best: Newton's method on a convex loss, 0 to 20. */
function bestPower(logs: readonly Float64Array[], truth: Uint8Array, rows: readonly number[]): number {
  let power = 1;
  for (let step = 0; step < 50; step++) {
    let slope = 0, bend = 0;
    for (const i of rows) {
      let sum = 0, mean = 0, square = 0, top = -Infinity;
      for (const log of logs) if (power * log[i]! > top) top = power * log[i]!;
      for (const each of logs) {
        const log = each[i]!, weight = Math.exp(power * log - top);
        sum += weight;
        mean += weight * log;
        square += weight * log * log;
      }
      mean /= sum;
      slope += mean - logs[truth[i]!]![i]!;
      bend += square / sum - mean * mean;
    }
    if (!(bend > 1e-12)) return power;
    const next = Math.min(MOST_POWER, Math.max(0, power - slope / bend));
    // A step too far is halved: the loss is convex, so its slope keeps its sign on one side of the best.
    const moved = Math.abs(next - power) > power + 1 ? (power + next) / 2 : next;
    if (Math.abs(moved - power) < 1e-9) return moved;
    power = moved;
  }
  return power;
}
