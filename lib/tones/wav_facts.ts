/** What a WAV file holds, told from its own bytes. */
export interface WavFacts {
  readonly channels: number;
  /** Samples a second, each channel. */
  readonly rateHz: number;
  readonly bits: 8 | 16;
  /** Samples a channel. */
  readonly frames: number;
  readonly seconds: number;
  /** Largest sample, 0 to 1 of full scale. */
  readonly peak: number;
}

/**
 * Reads the header and the loudest sample of a WAV file of linear PCM with 8 or 16 bits.
 *
 * Chunks other than "fmt " and "data" are passed over. Layout: Multimedia Programming Interface and Data Specifications 1.0,
 * IBM and Microsoft 1991: 8-bit samples count from 0 with 128 for silence, 16-bit ones are signed.
 *
 * Throws SyntaxError for bytes that are no such file, or that end too early.
 *
 * @example
 * ```ts
 * import { wavFacts, writeWav } from "overiron";
 * const sound = { left: Float64Array.of(0, 0.5), right: Float64Array.of(0, -0.25), rateHz: 8000 };
 * const { channels, frames, peak } = wavFacts(writeWav(sound));
 * if (channels !== 2 || frames !== 2 || Math.abs(peak - 0.5) > 1e-4) throw new Error("wrong");
 * ```
 */
export function wavFacts(bytes: Uint8Array): WavFacts {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const word = (at: number): string => String.fromCharCode(...bytes.subarray(at, at + 4));
  if (bytes.length < 12 || word(0) !== "RIFF" || word(8) !== "WAVE") {
    throw new SyntaxError(
      `Cannot read sound: a WAV file starts with RIFF and WAVE, got ${bytes.length} bytes`,
    );
  }
  let format: { channels: number; rateHz: number; bits: number; pair: number } | null = null;
  for (let at = 12; at + 8 <= bytes.length;) {
    const size = view.getUint32(at + 4, true), from = at + 8;
    if (from + size > bytes.length) {
      throw new SyntaxError(`Cannot read sound: chunk ${JSON.stringify(word(at))} ends beyond the file`);
    }
    if (word(at) === "fmt ") {
      const tag = size >= 16 ? view.getUint16(from, true) : 0;
      if (tag !== 1) throw new SyntaxError(`Cannot read sound: need format 1, linear PCM, got ${tag}`);
      format = {
        channels: view.getUint16(from + 2, true),
        rateHz: view.getUint32(from + 4, true),
        pair: view.getUint16(from + 12, true),
        bits: view.getUint16(from + 14, true),
      };
    } else if (word(at) === "data" && format !== null) {
      const { channels, rateHz, bits, pair } = format;
      if ((bits !== 8 && bits !== 16) || channels < 1 || rateHz < 1 || pair !== channels * bits / 8) {
        throw new SyntaxError(
          `Cannot read sound: need 8 or 16 bits a sample, got ${bits} bits, ${channels} channels, ${rateHz} Hz`,
        );
      }
      let peak = 0;
      for (let i = from; i + bits / 8 <= from + size; i += bits / 8) {
        const sample = bits === 16 ? view.getInt16(i, true) / 32768 : (bytes[i]! - 128) / 128;
        peak = Math.max(peak, Math.abs(sample));
      }
      const frames = Math.floor(size / pair);
      return { channels, rateHz, bits, frames, seconds: frames / rateHz, peak };
    }
    at = from + size + size % 2;
  }
  throw new SyntaxError('Cannot read sound: need a "fmt " chunk and then a "data" chunk');
}
