import { describe, expect, test } from "vitest";
import { pitchOf } from "../../lib/tones/pitch_of.ts";

const bands = [{ name: "low", pitch_hz: 110, loudness: 1 }, { name: "high", pitch_hz: 880, loudness: 1 }];
const sliding = { name: "slide", kind: "sliding" as const, breaks: [150], bands };
const scale = { low: -200, high: 200 };

describe("pitchOf()", () => {
  test("gives the pitch of the band", () => {
    expect(pitchOf(149, { ...sliding, kind: "bands" })).toBe(110);
    expect(pitchOf(150, { ...sliding, kind: "bands" })).toBe(880);
  });
  test("slides by equal intervals: thirds of the scale are octaves where the ends lie three octaves apart", () => {
    // Equal temperament: an octave doubles the frequency. 110 to 880 Hz is three octaves.
    const at = (share: number) => pitchOf(-200 + 400 * share, sliding, { scale });
    expect(at(0)).toBeCloseTo(110, 9);
    expect(at(1 / 3)).toBeCloseTo(220, 9);
    expect(at(2 / 3)).toBeCloseTo(440, 9);
    expect(at(1)).toBeCloseTo(880, 9);
  });
  test("keeps the end's pitch beyond the scale", () => {
    expect(pitchOf(-999, sliding, { scale })).toBe(110);
    expect(pitchOf(999, sliding, { scale })).toBe(880);
  });
  test("refuses a sliding scheme without a scale", () => {
    expect(() => pitchOf(0, sliding)).toThrow(
      new TypeError("Cannot give a pitch: a sliding scheme needs the machine's scale, got undefined"),
    );
  });
});
