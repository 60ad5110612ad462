/** A sound in two channels: samples from -1 to 1, as many left as right. */
export interface Sound {
  readonly left: Float64Array;
  readonly right: Float64Array;
  /** Samples a second. */
  readonly rateHz: number;
}

/** Options of `writeWav`. */
export interface WriteWavOptions {
  /** Bits a sample. 8 takes half the room and hisses a little while a tone sounds. Default 16. */
  readonly bits?: 8 | 16;
}

/**
 * Writes a sound as the bytes of a WAV file: linear PCM, two channels, little-endian.
 *
 * Layout: RIFF header, a "fmt " chunk of 16 bytes with format tag 1 (PCM), a "data" chunk (Multimedia Programming Interface
 * and Data Specifications 1.0, IBM and Microsoft 1991). A sample s becomes the whole number nearest to 32767 s; with 8 bits,
 * which the format counts from 0, 128 plus the one nearest to 127 s. The same samples give the same bytes.
 *
 * Throws RangeError for bits other than 8 and 16, channels of different lengths, a rate that is not a whole number from 8000 to 48000, or a sample
 * outside -1 to 1 (or not a number): nothing is clipped in silence.
 *
 * @example
 * ```ts
 * import { writeWav } from "overiron";
 * const bytes = writeWav({ left: new Float64Array(10), right: new Float64Array(10), rateHz: 22050 });
 * if (bytes.length !== 44 + 40) throw new Error("44 bytes of header and 4 bytes a sample pair");
 * ```
 */
export function writeWav(sound: Sound, options: WriteWavOptions = {}): Uint8Array<ArrayBuffer> {
  const { bits = 16 } = options;
  const { left, right, rateHz } = sound;
  if (left.length !== right.length) {
    throw new RangeError(
      `Cannot write sound: channels must be of one length, got ${left.length} and ${right.length}`,
    );
  }
  if (!(Number.isSafeInteger(rateHz) && rateHz >= 8000 && rateHz <= 48000)) {
    throw new RangeError(
      `Cannot write sound: the rate must be a whole number from 8000 to 48000, got ${rateHz}`,
    );
  }
  if (bits !== 8 && bits !== 16) {
    throw new RangeError(`Cannot write sound: bits must be 8 or 16, got ${bits}`);
  }
  const pair = bits / 4;
  const dataBytes = pair * left.length;
  const bytes = new Uint8Array(44 + dataBytes);
  const view = new DataView(bytes.buffer);
  const word = (at: number, text: string) =>
    [...text].forEach((sign, i) => view.setUint8(at + i, sign.charCodeAt(0)));
  word(0, "RIFF");
  view.setUint32(4, 36 + dataBytes, true);
  word(8, "WAVEfmt ");
  view.setUint32(16, 16, true);
  view.setUint16(20, 1, true);
  view.setUint16(22, 2, true);
  view.setUint32(24, rateHz, true);
  view.setUint32(28, pair * rateHz, true);
  view.setUint16(32, pair, true);
  view.setUint16(34, bits, true);
  word(36, "data");
  view.setUint32(40, dataBytes, true);
  for (let i = 0; i < left.length; i++) {
    [left[i]!, right[i]!].forEach((sample, channel) => {
      if (!(sample >= -1 && sample <= 1)) {
        throw new RangeError(`Cannot write sound: samples must lie from -1 to 1, got ${sample} at ${i}`);
      }
      if (bits === 16) view.setInt16(44 + 4 * i + 2 * channel, Math.round(32767 * sample), true);
      else view.setUint8(44 + 2 * i + channel, 128 + Math.round(127 * sample));
    });
  }
  return bytes;
}
