import type { Complex } from "./_complex.ts";
import type { SweepSignal } from "./sweep_signal.ts";

/** The rules by which a peak is heard; see `readSweep`. */
export interface PeakRules {
  readonly direction: 1 | -1;
  readonly speedCmPerS: number;
  readonly targetXCm: number;
  readonly reachCm: number;
  readonly recoveryS: number;
  readonly threshold: number;
}

/** The place of the heard peak nearest the target, or null. */
export function nearestPeak(
  signal: SweepSignal,
  rules: PeakRules,
): number | null {
  const { direction, speedCmPerS, targetXCm, reachCm, recoveryS, threshold } = rules;
  const { re, im, fromCm, stepCm, before: raw } = signal, n = re.length;
  const power = (i: number): number => re[i]! * re[i]! + im[i]! * im[i]!;
  let best: number | null = null, lastAt = 0, lastLoud = 0;
  const first = direction === 1 ? 1 : n - 2;
  for (let k = 0; k < n - 2; k++) {
    const i = first + direction * k;
    const here = power(i), before = power(i - 1), after = power(i + 1);
    if (!(here > before && here >= after)) continue;
    if (raw && re[i]! * raw.re[i]! + im[i]! * raw.im[i]! < 0) continue;
    const bend = before - 2 * here + after;
    const at = i + (bend < 0 ? (before - after) / (2 * bend) : 0);
    const loud = Math.sqrt(here);
    if (loud < threshold || loud === 0) continue;
    const position = fromCm + at * stepCm;
    const since = Math.abs(position - lastAt) / speedCmPerS;
    if (lastLoud > loud && since < recoveryS * Math.log(lastLoud / loud)) continue;
    lastAt = position;
    lastLoud = loud;
    if (Math.abs(position - targetXCm) > reachCm) continue;
    if (best === null || Math.abs(position - targetXCm) < Math.abs(best - targetXCm)) best = position;
  }
  return best;
}

/** The signal at any position inside the sweep, by a parabola through the three positions about it. */
export function signalAt(signal: SweepSignal, positionCm: number): Complex {
  const { re, im, fromCm, stepCm } = signal, n = re.length;
  const place = Math.min(n - 1, Math.max(0, (positionCm - fromCm) / stepCm));
  const middle = Math.min(n - 2, Math.max(1, Math.round(place))), f = place - middle;
  const between = (v: Float64Array): number =>
    v[middle]! + f * (v[middle + 1]! - v[middle - 1]!) / 2 +
    f * f * (v[middle + 1]! - 2 * v[middle]! + v[middle - 1]!) / 2;
  return { re: between(re), im: between(im) };
}
