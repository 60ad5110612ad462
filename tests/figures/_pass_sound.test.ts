import { expect, test } from "vitest";
import { passSound } from "../../lib/figures/_pass_sound.ts";
import { wavFacts } from "../../lib/tones/wav_facts.ts";
import { machineA, passes } from "../tones/_log_rows.ts";
import { soundsIn } from "./_sounds_in.ts";

test("passSound() plays the first five passes, small and quiet, and tells the same five", () => {
  const shown = passSound(
    { right: passes(100, 100, 500, 500), left: passes(330, 330, 330) },
    machineA,
    "A signal",
  );
  expect(wavFacts(soundsIn(shown.html)[0]!)).toMatchObject({
    channels: 2,
    rateHz: 8000,
    bits: 8,
    seconds: 5 * 0.32,
  });
  expect(shown.text).toBe(
    "[Sound: A signal] In words: right iron, left middle, right iron, left middle, right high.",
  );
});

test("passSound() refuses a record without passes", () => {
  expect(() => passSound({ right: null, left: null }, machineA, "x")).toThrow(
    new RangeError("Cannot make sound: need a pass, got none"),
  );
});

test("passSound() makes iron as quiet as wished", () => {
  const peakOf = (ironLoudness: number) => {
    const shown = passSound({ right: passes(100), left: null }, machineA, "Iron", { ironLoudness });
    return wavFacts(soundsIn(shown.html)[0]!).peak;
  };
  expect(peakOf(0)).toBe(0);
  expect(peakOf(0.4)).toBeLessThan(peakOf(0.8));
});
