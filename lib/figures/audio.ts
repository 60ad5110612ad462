import { encodeBase64 } from "./_base64.ts";
import { nothing, Output } from "./_output.ts";
import { escapeHtml } from "./_text.ts";
import type { Shown } from "./show.ts";
import { wavFacts } from "../tones/mod.ts";

/** The loudest sample that a page may hold, of full scale: half, 6 dB below it, so that no ear is hurt. */
export const loudestSample = 0.5;

/** What {@link audio} takes. */
export interface AudioParts {
  /** The bytes of a WAV file, as `writeWav` gives them. */
  readonly wav: Uint8Array;
  /** What is heard, in a few words. It names the player. */
  readonly caption: string;
  /** The same in words, for those who do not hear it. */
  readonly description: string;
}

/**
 * Shows a sound that the reader starts: a player with its caption and, below it, what it sounds like in words.
 *
 * The sound is part of the page. The same bytes give the same page. Records nothing.
 *
 * Throws SyntaxError for bytes that are no WAV file of linear PCM; RangeError for a sample louder than half of full scale (a
 * step of rounding aside), an empty sound, caption or description.
 *
 * @example
 * ```ts
 * import { audio, writeWav } from "overiron";
 * const wav = writeWav({ left: Float64Array.of(0, 0.4), right: Float64Array.of(0, 0.4), rateHz: 8000 });
 * const shown = audio({ wav, caption: "Two samples", description: "a click" });
 * if (!shown.html.includes('src="data:audio/wav;base64,UklGR')) throw new Error(shown.html);
 * ```
 */
export function audio(parts: AudioParts): Shown {
  const { wav, caption, description } = parts;
  for (const [name, text] of Object.entries({ caption, description })) {
    if (text.trim() === "") throw new RangeError(`Cannot show sound: it needs a ${name}`);
  }
  const { peak, frames, bits } = wavFacts(wav);
  if (frames === 0) throw new RangeError(`Cannot show sound "${caption}": it holds no sample`);
  if (peak > loudestSample + 1 / 2 ** (bits - 1)) {
    throw new RangeError(
      `Cannot show sound "${caption}": no sample may exceed ${loudestSample} of full scale, got ${
        peak.toFixed(3)
      }`,
    );
  }
  const label = escapeHtml(caption);
  const html = `<div class="sound"><p><strong>${label}</strong></p>` +
    `<audio controls aria-label="${label}" style="width: 100%" src="data:audio/wav;base64,${
      encodeBase64(wav)
    }"></audio><p class="small">In words: ${escapeHtml(description)}.</p></div>`;
  return new Output(html, `[Sound: ${caption}] In words: ${description}.`, nothing);
}
