import { needAboveZero, needFinite } from "./_check.ts";

/** The scale a machine shows: lowest and highest number and the step between two. */
export interface ReadingScale {
  readonly low: number;
  readonly high: number;
  readonly step: number;
}

/**
 * Gives the number shown for a phase lag: 0 degrees at the low end of the scale, 180 at the high end, linear between, to the nearest step.
 *
 * A lag outside 0 to 180 (noise, or a nail under overlapped windings) is shown as the nearer end. No real machine's map is known to be linear:
 * the map matters as much as the metal.
 *
 * Throws RangeError for a scale without length or a lag that is not finite.
 *
 * @example
 * ```ts
 * import { phaseToReading } from "overiron";
 * if (phaseToReading(90, { low: -200, high: 200, step: 5 }) !== 0) throw new Error("wrong");
 * if (phaseToReading(-140, { low: 0, high: 600, step: 1 }) !== 600) throw new Error("220 degrees is nearer to 180");
 * ```
 */
export function phaseToReading(phaseLagDeg: number, scale: ReadingScale): number {
  needFinite("show phase", { phaseLagDeg, low: scale.low, high: scale.high });
  needAboveZero("show phase", { step: scale.step, "high - low": scale.high - scale.low });
  const turn = ((phaseLagDeg % 360) + 360) % 360;
  const share = turn <= 180 ? turn / 180 : turn < 270 ? 1 : 0;
  return scale.low + Math.round((scale.high - scale.low) * share / scale.step) * scale.step;
}
