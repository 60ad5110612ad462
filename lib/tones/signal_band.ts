import type { Machine, ToneScheme } from "../log/mod.ts";
import { type Absent, absent } from "../numbers/mod.ts";
import { sweepCentre, type SweptPasses } from "../sweep/mod.ts";
import { bandedScheme } from "./_arms.ts";
import { bandOf } from "./band_of.ts";

/** Options of `signalBand`. */
export interface SignalBandOptions {
  /** The scheme to hear with. Default: the machine's own. A sliding scheme without a break is told apart at the iron break. */
  readonly scheme?: ToneScheme;
}

/**
 * Gives the band of a signal or a trial: the band of its centre, the median of the passes to the right and to the left.
 *
 * The answer is the band counted from 0, or "silent" where readings were taken and no pass gave a number, or an absence
 * where nothing was logged in either direction. A range counts by its midpoint, a low-usual-high by its usual reading.
 *
 * @example
 * ```ts
 * import { exampleToneSchemes, signalBand } from "overiron";
 * const { scale, ironBreak, scheme } = exampleToneSchemes()[1]!;
 * const machine = { machine: "Machine A", scale, iron_break: ironBreak, tones: scheme };
 * const right = { written: "190 230 230", kind: "passes" as const, readings: [190, 230, 230], silent: 0, passes: 3, approximate: false };
 * if (signalBand({ right, left: null, cross: null }, machine) !== 1) throw new Error("the median, 230, is above the break");
 * ```
 */
export function signalBand(
  record: SweptPasses,
  machine: Machine,
  options: SignalBandOptions = {},
): number | "silent" | Absent {
  const { scheme = machine.tones } = options;
  const centre = sweepCentre(record, { machine });
  if ("value" in centre) return bandOf(centre.value, bandedScheme(scheme, machine.iron_break));
  return centre.absent === "silent" ? "silent" : absent("not logged", centre.reason, { passes: 0 });
}
