import { needAboveZero } from "./_check.ts";
import type { SweepSignal } from "./sweep_signal.ts";

/** Running mean over 2 half + 1 positions into `out`; beyond the ends the end value goes on. */
function runningMean(values: Float64Array, half: number, out: Float64Array): void {
  const n = values.length, last = n - 1, share = 1 / (2 * half + 1);
  const first = values[0]!, end = values[last]!;
  let sum = first * half;
  for (let i = 0; i <= half; i++) sum += i < n ? values[i]! : end;
  for (let i = 0; i < n; i++) {
    out[i] = sum * share;
    sum += (i + half + 1 < n ? values[i + half + 1]! : end) - (i - half >= 0 ? values[i - half]! : first);
  }
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
  const n = signal.re.length, once = new Float64Array(n);
  const rest = (values: Float64Array): Float64Array => {
    const slow = new Float64Array(n);
    runningMean(values, half, once);
    runningMean(once, half, slow);
    for (let i = 0; i < n; i++) slow[i] = values[i]! - slow[i]!;
    return slow;
  };
  return {
    fromCm: signal.fromCm,
    stepCm: signal.stepCm,
    re: rest(signal.re),
    im: rest(signal.im),
    before: signal,
  };
}
