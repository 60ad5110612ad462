import { describe, expect, test } from "vitest";
import { exampleToneSchemes } from "../../lib/tones/example_tone_schemes.ts";

describe("exampleToneSchemes()", () => {
  const schemes = exampleToneSchemes();
  test("holds one, two, four and seven bands and a sliding pitch on each of two scales", () => {
    expect(schemes.map(({ scheme }) => scheme.bands.length)).toEqual([1, 2, 4, 7, 2, 1, 2, 4, 7, 2]);
    expect(schemes.filter(({ scheme }) => scheme.kind === "sliding")).toHaveLength(2);
    expect(new Set(schemes.map(({ scheme }) => scheme.name)).size).toBe(10);
  });
  test("puts its breaks on the steps of the scale", () => {
    for (const { scale, scheme } of schemes) {
      for (const value of scheme.breaks) expect(Math.abs((value - scale.low) % scale.step)).toBe(0);
    }
  });
  test("takes its pitches from equal temperament with A4 = 440 Hz (ISO 16:1975)", () => {
    for (const { scheme } of schemes) {
      for (const { pitch_hz } of scheme.bands) {
        const semitones = 12 * Math.log2(pitch_hz / 440);
        // Pitches are stored to 0.01 Hz, which is under 0.002 semitones at 110 Hz.
        expect(Math.abs(semitones - Math.round(semitones))).toBeLessThan(0.002);
      }
    }
  });
});
