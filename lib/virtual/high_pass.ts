import { needAboveZero } from "./_check.ts";
import type { SweepSignal } from "./sweep_signal.ts";

/** Running mean over 2 half + 1 positions; beyond the ends the end value goes on. */
function runningMean(values: Float64Array, half: number): Float64Array {
  const n = values.length, out = new Float64Array(n), sums = new Float64Array(n + 1);
  for (let i = 0; i < n; i++) sums[i + 1] = sums[i]! + values[i]!;
  for (let i = 0; i < n; i++) {
    const low = Math.max(0, i - half), high = Math.min(n - 1, i + half);
    const before = half - (i - low), after = half - (high - i);
    out[i] = (sums[high + 1]! - sums[low]! + before * values[0]! + after * values[n - 1]!) / (2 * half + 1);
  }
  return out;
}

/**
 * Takes the slow part out of a sweep, as a machine that must move does: the signal less its own running mean, taken twice.
 *
 * `widthCm` (above 0) is the width of the running mean: the machine's time times the speed of the coil. The filter looks equally far ahead
 * and behind, so it does not by itself favour a direction.
 *
 * Throws RangeError for a width that is not above 0.
 *
 * @example
 * ```ts
 * import { highPass } from "overiron";
 * const flat = { fromCm: 0, stepCm: 1, re: new Float64Array(50).fill(3), im: new Float64Array(50) };
 * if (highPass(flat, 20).re.some((value) => Math.abs(value) > 1e-12)) throw new Error("a level is not silent");
 * ```
 */
export function highPass(signal: SweepSignal, widthCm: number): SweepSignal {
  needAboveZero("filter sweep", { widthCm });
  const half = Math.max(1, Math.round(widthCm / signal.stepCm / 2));
  const rest = (values: Float64Array): Float64Array => {
    const slow = runningMean(runningMean(values, half), half);
    return values.map((value, i) => value - slow[i]!);
  };
  return { ...signal, re: rest(signal.re), im: rest(signal.im), before: signal };
}
