/**
 * Gives the drag of two dipoles added in the plane of phase, from how loud they are and how far apart in phase.
 *
 * `loudnessRatio` (0 or above) is the neighbour's signal divided by the target's at the coil position of the reading;
 * `phaseDifferenceDeg` (above 0, below 180) lies between their two phases. Returns a share: 0 reads as the clean target, 1 as the
 * neighbour. It is exactly one half at a ratio of 1, whatever the phases. Derived by us: the angle of 1 + R exp(i delta)
 * as a share of delta.
 *
 * Throws RangeError outside those ranges.
 *
 * @example
 * ```ts
 * import { closedFormDrag } from "overiron";
 * if (Math.abs(closedFormDrag(1, 130) - 0.5) > 1e-12) throw new Error("not one half at equal loudness");
 * ```
 */
export function closedFormDrag(loudnessRatio: number, phaseDifferenceDeg: number): number {
  if (!(loudnessRatio >= 0 && loudnessRatio < Infinity)) {
    throw new RangeError(
      `Cannot compute drag: loudnessRatio must be a finite number of 0 or above, got ${loudnessRatio}`,
    );
  }
  if (!(phaseDifferenceDeg > 0 && phaseDifferenceDeg < 180)) {
    throw new RangeError(
      `Cannot compute drag: phaseDifferenceDeg must lie between 0 and 180, got ${phaseDifferenceDeg}`,
    );
  }
  const delta = phaseDifferenceDeg * Math.PI / 180;
  return Math.atan2(loudnessRatio * Math.sin(delta), 1 + loudnessRatio * Math.cos(delta)) / delta;
}
