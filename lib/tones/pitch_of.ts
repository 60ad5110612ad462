import type { ToneScheme } from "../log/mod.ts";
import { bandOf } from "./band_of.ts";

/** Options of `pitchOf`. */
export interface PitchOfOptions {
  /** Ends of the machine's scale: needed by a sliding scheme, without effect on bands. */
  readonly scale?: { readonly low: number; readonly high: number };
}

/**
 * Gives the pitch in hertz that a reading sounds at.
 *
 * Bands: the pitch of the band. Sliding: from the lower end's pitch at the low end of the scale to the upper end's at the
 * high end, equal steps of the scale being equal musical intervals (the logarithm of the pitch is linear in the reading);
 * readings beyond the scale keep the pitch of its end.
 *
 * Throws RangeError for a reading that is not a number; TypeError when a sliding scheme comes without a scale.
 *
 * @example
 * ```ts
 * import { pitchOf } from "overiron";
 * const sliding = { name: "slide", kind: "sliding" as const, breaks: [150],
 *   bands: [{ name: "low", pitch_hz: 110, loudness: 0.8 }, { name: "high", pitch_hz: 440, loudness: 0.8 }] };
 * const middle = pitchOf(300, sliding, { scale: { low: 0, high: 600 } });
 * if (Math.abs(middle - 220) > 1e-9) throw new Error("half the scale is one of its two octaves");
 * ```
 */
export function pitchOf(reading: number, scheme: ToneScheme, options: PitchOfOptions = {}): number {
  const band = bandOf(reading, scheme);
  if (scheme.kind === "bands") return scheme.bands[band]!.pitch_hz;
  const { scale } = options;
  if (!scale) {
    throw new TypeError(`Cannot give a pitch: a sliding scheme needs the machine's scale, got ${scale}`);
  }
  const share = Math.min(1, Math.max(0, (reading - scale.low) / (scale.high - scale.low)));
  const [low, high] = [scheme.bands[0]!.pitch_hz, scheme.bands[1]!.pitch_hz];
  return low * (high / low) ** share;
}
