import type { Machine, Passes, ToneScheme } from "../log/mod.ts";
import { bandedScheme } from "./_arms.ts";
import { passesInTurn } from "./_passes_in_turn.ts";
import { bandOf } from "./band_of.ts";
import { pitchOf } from "./pitch_of.ts";
import type { Sound } from "./write_wav.ts";

/** Options of `soundOfPasses`. */
export interface SoundOfPassesOptions {
  /** Scheme to hear with. Default: the machine's own. */
  readonly scheme?: ToneScheme;
  /** Loudness of the lowest band, 0 to 1. Default: the scheme's. */
  readonly ironLoudness?: number;
  /** Samples a second. Default 22050. */
  readonly rateHz?: number;
  /** Seconds from one pass to the next: the rhythm of the sweep. Default 0.7. */
  readonly sweepSeconds?: number;
  /** Seconds that a tone lasts. Default 0.15. */
  readonly toneSeconds?: number;
  /** Passes sounded at most, from the first on; a whole number of 1 or above. Default all. */
  readonly mostPasses?: number;
}

/** The loudest sample ever made: half of full scale, 6 dB below it, so that no ear is hurt. */
const peak = 0.5;
const fadeSeconds = 0.01;

/**
 * Makes the sound of a signal's passes as its machine, or another scheme, would sound them: one short tone a pass, in its
 * band's pitch and loudness, at the rhythm of the sweep.
 *
 * Passes alternate right, left, right, left as the coil does, the right ones panned to the right by the law of equal power;
 * a direction with more passes than the other goes on alone. A silent pass keeps its place in the rhythm and makes no
 * sound; logged silent passes come after the readings of their direction, since a log does not say where among them they
 * were. Tones fade in and out over 10 ms. No sample exceeds 0.5. Summaries are not passes and make no sound.
 *
 * Throws RangeError where there is no pass to sound, for a loudness outside 0 to 1, tones that last longer than the sweep, or
 * `mostPasses` below 1.
 *
 * @example
 * ```ts
 * import { exampleToneSchemes, soundOfPasses } from "overiron";
 * const { scale, ironBreak, scheme } = exampleToneSchemes()[1]!;
 * const machine = { machine: "Machine A", scale, iron_break: ironBreak, tones: scheme };
 * const right = { written: "300 x", kind: "passes" as const, readings: [300], silent: 1, passes: 2, approximate: false };
 * const sound = soundOfPasses({ right, left: null }, machine);
 * if (sound.left.length !== 2 * Math.round(0.7 * 22050)) throw new Error("two passes of 0.7 s");
 * ```
 */
export function soundOfPasses(
  record: { readonly right: Passes | null; readonly left: Passes | null },
  machine: Machine,
  options: SoundOfPassesOptions = {},
): Sound {
  const { rateHz = 22050, sweepSeconds = 0.7, toneSeconds = 0.15, ironLoudness, mostPasses } = options;
  const scheme = options.scheme ?? machine.tones;
  const banded = bandedScheme(scheme, machine.iron_break);
  if (ironLoudness !== undefined && !(ironLoudness >= 0 && ironLoudness <= 1)) {
    throw new RangeError(`Cannot make sound: ironLoudness must be 0 to 1, got ${ironLoudness}`);
  }
  if (!(toneSeconds > 2 * fadeSeconds && toneSeconds <= sweepSeconds)) {
    throw new RangeError(
      `Cannot make sound: a tone must last more than ${
        2 * fadeSeconds
      } s and at most the sweep's ${sweepSeconds} s, got ${toneSeconds}`,
    );
  }
  if (mostPasses !== undefined && !(Number.isSafeInteger(mostPasses) && mostPasses >= 1)) {
    throw new RangeError(
      `Cannot make sound: mostPasses must be a whole number of 1 or above, got ${mostPasses}`,
    );
  }
  const passes = passesInTurn(record).slice(0, mostPasses);
  if (passes.length === 0) throw new RangeError("Cannot make sound: need a pass, got none");
  const every = Math.round(sweepSeconds * rateHz),
    long = Math.round(toneSeconds * rateHz),
    fade = Math.round(fadeSeconds * rateHz);
  const left = new Float64Array(passes.length * every), right = new Float64Array(passes.length * every);
  passes.forEach(({ reading, direction }, i) => {
    if (reading === null) return;
    const band = bandOf(reading, banded);
    const loudness = band === 0 && ironLoudness !== undefined ? ironLoudness : banded.bands[band]!.loudness;
    const pitch = scheme.kind === "sliding"
      ? pitchOf(reading, scheme, { scale: machine.scale })
      : banded.bands[band]!.pitch_hz;
    // Equal power: the two gains' squares add up to 1; three quarters of the way to the side.
    const angle = Math.PI / 4 * (1 + 0.75 * direction);
    for (let k = 0; k < long; k++) {
      const edge = Math.min(k, long - 1 - k, fade) / fade;
      const sample = peak * loudness * (0.5 - 0.5 * Math.cos(Math.PI * edge)) *
        Math.sin(2 * Math.PI * pitch * k / rateHz);
      left[i * every + k] = sample * Math.cos(angle);
      right[i * every + k] = sample * Math.sin(angle);
    }
  });
  return { left, right, rateHz };
}
