import { describe, expect, test } from "vitest";
import { writeWav } from "../../lib/tones/write_wav.ts";

const text = (bytes: Uint8Array, from: number, to: number) =>
  String.fromCharCode(...bytes.subarray(from, to));

describe("writeWav()", () => {
  const bytes = writeWav({
    left: Float64Array.of(0, 1, -1),
    right: Float64Array.of(0.5, -0.5, 0),
    rateHz: 22050,
  });
  const view = new DataView(bytes.buffer);
  test("writes the header of the format: offsets, tags and sizes of RIFF WAVE with PCM (IBM and Microsoft 1991)", () => {
    expect([text(bytes, 0, 4), text(bytes, 8, 16), text(bytes, 36, 40)]).toEqual([
      "RIFF",
      "WAVEfmt ",
      "data",
    ]);
    expect(view.getUint32(4, true)).toBe(bytes.length - 8);
    expect(view.getUint32(16, true)).toBe(16);
    expect([20, 22, 32, 34].map((at) => view.getUint16(at, true))).toEqual([1, 2, 4, 16]);
    expect([24, 28].map((at) => view.getUint32(at, true))).toEqual([22050, 88200]);
    expect(view.getUint32(40, true)).toBe(bytes.length - 44);
  });
  test("writes left and right in turn, little-endian", () => {
    expect(Array.from({ length: 6 }, (_, i) => view.getInt16(44 + 2 * i, true))).toEqual([
      0,
      16384,
      32767,
      -16383,
      -32767,
      0,
    ]);
  });
  test("refuses what it would have to clip, and channels that do not fit", () => {
    const one = Float64Array.of(0);
    expect(() => writeWav({ left: Float64Array.of(1.01), right: one, rateHz: 22050 })).toThrow(
      new RangeError("Cannot write sound: samples must lie from -1 to 1, got 1.01 at 0"),
    );
    expect(() => writeWav({ left: Float64Array.of(NaN), right: one, rateHz: 22050 })).toThrow(RangeError);
    expect(() => writeWav({ left: one, right: new Float64Array(2), rateHz: 22050 })).toThrow(
      new RangeError("Cannot write sound: channels must be of one length, got 1 and 2"),
    );
    expect(() => writeWav({ left: one, right: one, rateHz: 7999 })).toThrow(RangeError);
  });
  test("writes 8 bits as the format counts them: from 0, with 128 for silence", () => {
    const small = writeWav({ left: Float64Array.of(0, 1), right: Float64Array.of(-1, 0.5), rateHz: 8000 }, {
      bits: 8,
    });
    const header = new DataView(small.buffer);
    expect([22, 32, 34].map((at) => header.getUint16(at, true))).toEqual([2, 2, 8]);
    expect([24, 28, 40].map((at) => header.getUint32(at, true))).toEqual([8000, 16000, 4]);
    expect([...small.subarray(44)]).toEqual([128, 1, 255, 192]);
  });
  test("refuses other numbers of bits", () => {
    const none = { left: new Float64Array(0), right: new Float64Array(0), rateHz: 8000 };
    expect(() => writeWav(none, { bits: 24 as 16 })).toThrow(
      new RangeError("Cannot write sound: bits must be 8 or 16, got 24"),
    );
  });
});
