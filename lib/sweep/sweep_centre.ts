import {
  centreOf,
  checkNoise,
  passVariance,
  type SweepFeaturesOptions,
  type SweptPasses,
} from "./_swept_passes.ts";
import type { SweepValue } from "./sweep_value.ts";

/**
 * Gives the centre of one signal's passes alone: what `sweepFeatures` gives as `centre`, in a fraction of the time.
 *
 * @example
 * ```ts
 * import { sweepCentre } from "overiron";
 * const passes = (...readings: number[]) => ({ written: readings.join(" "), kind: "passes" as const, readings,
 *   silent: 0, passes: readings.length, approximate: false });
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "all", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const centre = sweepCentre({ right: passes(300, 304), left: passes(290, 294), cross: null }, { machine });
 * if (!("value" in centre) || centre.value !== 297) throw new Error("wrong centre");
 * ```
 */
export function sweepCentre(record: SweptPasses, options: SweepFeaturesOptions): SweepValue {
  checkNoise(options.repeatNoise);
  return centreOf(record, passVariance(record, options));
}
