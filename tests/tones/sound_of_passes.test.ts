import { describe, expect, test } from "vitest";
import { soundOfPasses } from "../../lib/tones/sound_of_passes.ts";
import { writeWav } from "../../lib/tones/write_wav.ts";
import { machineA, passes } from "./_log_rows.ts";

/** The frequency at which the discrete-time Fourier transform of the samples is largest, searched in steps of 0.1 Hz. */
function loudestPitch(samples: Float64Array, rateHz: number, near: number): number {
  let best = 0, most = -1;
  for (let pitch = near - 20; pitch <= near + 20; pitch += 0.1) {
    let re = 0, im = 0;
    samples.forEach((sample, k) => {
      re += sample * Math.cos(2 * Math.PI * pitch * k / rateHz);
      im += sample * Math.sin(2 * Math.PI * pitch * k / rateHz);
    });
    if (re * re + im * im > most) [best, most] = [pitch, re * re + im * im];
  }
  return best;
}
const every = Math.round(0.7 * 22050);
const power = (samples: Float64Array) => samples.reduce((sum, sample) => sum + sample * sample, 0);

describe("soundOfPasses()", () => {
  const sound = soundOfPasses({ right: passes(100, 500, "x"), left: passes(330) }, machineA);
  test("sounds each pass at its band's pitch, within 1 Hz", () => {
    // Order right, left, right, then the silent right pass: bands iron 110 Hz, middle 330 Hz, high 440 Hz.
    expect(sound.left.length).toBe(4 * every);
    [110, 330, 440].forEach((pitch, i) => {
      const tone = sound.right.subarray(i * every, i * every + Math.round(0.15 * 22050));
      expect(Math.abs(loudestPitch(tone, 22050, pitch) - pitch)).toBeLessThan(1);
    });
  });
  test("keeps silence silent, in its place in the rhythm", () => {
    expect(power(sound.left.subarray(3 * every))).toBe(0);
    expect(power(sound.left.subarray(Math.round(0.16 * 22050), every))).toBe(0);
  });
  test("pans right passes to the right and left ones to the left, with equal power", () => {
    const side = (i: number) =>
      [sound.left, sound.right].map((channel) => power(channel.subarray(i * every, (i + 1) * every)));
    const [l0, r0] = side(0), [l1, r1] = side(1);
    expect(r0! / l0!).toBeGreaterThan(10);
    expect(l1! / r1!).toBeGreaterThan(10);
    // Both passes are tones of one loudness, 0.8 of the peak of 0.5, so their power differs by the ends of their waves only.
    expect((l0! + r0!) / (l1! + r1!)).toBeCloseTo(1, 1);
  });
  test("never exceeds half of full scale, and gives the same bytes each time", () => {
    expect(Math.max(...sound.left, ...sound.right)).toBeLessThanOrEqual(0.5);
    const again = soundOfPasses({ right: passes(100, 500, "x"), left: passes(330) }, machineA);
    expect(writeWav(again)).toEqual(writeWav(sound));
  });
  test("makes iron as quiet as wished", () => {
    const quiet = soundOfPasses({ right: passes(100), left: passes(330) }, machineA, { ironLoudness: 0 });
    expect(power(quiet.right.subarray(0, every))).toBe(0);
    expect(power(quiet.left.subarray(every))).toBeGreaterThan(0);
  });
  test("slides the pitch along the scale", () => {
    const slide = {
      name: "slide",
      kind: "sliding" as const,
      breaks: [],
      bands: machineA.tones.bands.slice(0, 2).map((band, i) => ({ ...band, pitch_hz: [110, 440][i]! })),
    };
    const { right } = soundOfPasses({ right: passes(300), left: null }, machineA, { scheme: slide });
    expect(Math.abs(loudestPitch(right.subarray(0, Math.round(0.15 * 22050)), 22050, 220) - 220))
      .toBeLessThan(1);
  });
  test("sounds the first passes alone where told", () => {
    const short = soundOfPasses({ right: passes(100, 500, "x"), left: passes(330) }, machineA, {
      mostPasses: 2,
    });
    expect(short.left).toEqual(sound.left.subarray(0, 2 * every));
    expect(() => soundOfPasses({ right: passes(1), left: null }, machineA, { mostPasses: 0 })).toThrow(
      new RangeError("Cannot make sound: mostPasses must be a whole number of 1 or above, got 0"),
    );
  });
  test("sounds each of 100 bands", () => {
    const hundred = {
      name: "hundred",
      kind: "bands" as const,
      breaks: Array.from({ length: 99 }, (_, i) => 6 * (i + 1)),
      bands: Array.from(
        { length: 100 },
        (_, i) => ({ name: `band ${i}`, pitch_hz: 110 + 20 * i, loudness: 0.8 }),
      ),
    };
    const { right } = soundOfPasses({ right: passes(6 * 57), left: null }, machineA, { scheme: hundred });
    const pitch = 110 + 20 * 57;
    expect(Math.abs(loudestPitch(right.subarray(0, Math.round(0.15 * 22050)), 22050, pitch) - pitch))
      .toBeLessThan(1);
  });
  test("refuses summaries alone, no passes, and times that do not fit", () => {
    const range = {
      written: "1-2",
      kind: "range" as const,
      readings: [1, 2],
      silent: 0,
      passes: null,
      approximate: false,
    };
    expect(() => soundOfPasses({ right: range, left: null }, machineA)).toThrow(
      new RangeError("Cannot make sound: need a pass, got none"),
    );
    expect(() => soundOfPasses({ right: passes(1), left: null }, machineA, { toneSeconds: 0.8 })).toThrow(
      new RangeError(
        "Cannot make sound: a tone must last more than 0.02 s and at most the sweep's 0.7 s, got 0.8",
      ),
    );
    expect(() => soundOfPasses({ right: passes(1), left: null }, machineA, { ironLoudness: 2 })).toThrow(
      new RangeError("Cannot make sound: ironLoudness must be 0 to 1, got 2"),
    );
  });
});
