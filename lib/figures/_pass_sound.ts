import type { Machine, Passes } from "../log/mod.ts";
import { passesInWords, soundOfPasses, writeWav } from "../tones/mod.ts";
import { audio } from "./audio.ts";
import type { Shown } from "./show.ts";

/** Small enough for a page: short sweeps over the spot, five passes at most, 8 bits at 8 kHz (no band sounds near 4 kHz). */
const small = { rateHz: 8000, sweepSeconds: 0.32, toneSeconds: 0.12, mostPasses: 5 } as const;

/** Options of `tonesGardenSounds` and `tonesQuiz`. */
export interface PassSoundOptions {
  /** Loudness of the lowest band, 0 (no sound) to 1. Default: the machine's. */
  readonly ironLoudness?: number;
}

/** The first passes of a record as a player, in the tones of its machine. */
export function passSound(
  record: { readonly right: Passes | null; readonly left: Passes | null },
  machine: Machine,
  caption: string,
  options: PassSoundOptions = {},
): Shown {
  return audio({
    wav: writeWav(soundOfPasses(record, machine, { ...small, ...options }), { bits: 8 }),
    caption,
    description: passesInWords(record, machine, { mostPasses: small.mostPasses }),
  });
}
