import { describe, expect, test } from "vitest";
import { wavFacts } from "../../lib/tones/wav_facts.ts";
import { writeWav } from "../../lib/tones/write_wav.ts";

const sound = { left: Float64Array.of(0, 0.25, -0.5), right: Float64Array.of(0, 0, 0.125), rateHz: 11025 };

describe("wavFacts()", () => {
  test.each([8, 16] as const)("tells what writeWav() wrote with %i bits", (bits) => {
    const facts = wavFacts(writeWav(sound, { bits }));
    expect(facts).toMatchObject({ channels: 2, rateHz: 11025, bits, frames: 3, seconds: 3 / 11025 });
    // A sample is rounded to a step: 1/128 of full scale with 8 bits, 1/32768 with 16.
    expect(Math.abs(facts.peak - 0.5)).toBeLessThanOrEqual(1 / 2 ** (bits - 1));
  });
  test("passes over other chunks, odd ones with their pad byte, and reads a view into a larger buffer", () => {
    const bytes = writeWav(sound);
    const note = [..."LIST"].map((sign) => sign.charCodeAt(0)).concat([3, 0, 0, 0, 1, 2, 3, 0]);
    const whole = Uint8Array.from([9, 9, ...bytes.subarray(0, 12), ...note, ...bytes.subarray(12)]);
    expect(wavFacts(whole.subarray(2))).toEqual(wavFacts(bytes));
  });
  test("refuses what is no linear PCM, and files that end too early", () => {
    const bytes = writeWav(sound);
    const change = (at: number, value: number) => {
      const changed = Uint8Array.from(bytes);
      changed[at] = value;
      return () => wavFacts(changed);
    };
    expect(change(20, 3)).toThrow(new SyntaxError("Cannot read sound: need format 1, linear PCM, got 3"));
    expect(change(34, 24)).toThrow(
      new SyntaxError(
        "Cannot read sound: need 8 or 16 bits a sample, got 24 bits, 2 channels, 11025 Hz",
      ),
    );
    expect(change(0, 0)).toThrow(SyntaxError);
    expect(() => wavFacts(bytes.subarray(0, 50))).toThrow(
      new SyntaxError('Cannot read sound: chunk "data" ends beyond the file'),
    );
    expect(() => wavFacts(bytes.subarray(0, 36))).toThrow(
      new SyntaxError('Cannot read sound: need a "fmt " chunk and then a "data" chunk'),
    );
    expect(() => wavFacts(new Uint8Array(0))).toThrow(
      new SyntaxError("Cannot read sound: a WAV file starts with RIFF and WAVE, got 0 bytes"),
    );
  });
});
