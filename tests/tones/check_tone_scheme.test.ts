import { describe, expect, test } from "vitest";
import type { ToneScheme } from "../../lib/log/mod.ts";
import { checkToneScheme } from "../../lib/tones/check_tone_scheme.ts";

const band = (name: string, pitch_hz = 440, loudness = 0.8) => ({ name, pitch_hz, loudness });
const scale = { low: 0, high: 600, step: 1 };
const three: ToneScheme = Object.freeze({
  name: "three",
  kind: "bands" as const,
  breaks: Object.freeze([150, 300]),
  bands: Object.freeze([band("iron"), band("low"), band("high")]),
});

describe("checkToneScheme()", () => {
  test("gives a valid scheme back", () => {
    expect(checkToneScheme(three, { scale, ironBreak: 150 })).toBe(three);
  });
  test("allows one band without a break and a break on the upper end of the scale", () => {
    expect(checkToneScheme({ ...three, breaks: [], bands: [band("any")] }).bands).toHaveLength(1);
    expect(checkToneScheme({ ...three, breaks: [600], bands: [band("a"), band("b")] }, { scale }).breaks)
      .toEqual([600]);
  });
  test("allows a scheme of 100 bands", () => {
    const breaks = Array.from({ length: 99 }, (_, i) => 3 + 6 * i);
    const bands = Array.from({ length: 100 }, (_, i) => band(`band ${i}`));
    expect(checkToneScheme({ name: "hundred", kind: "bands", breaks, bands }, { scale }).bands).toHaveLength(
      100,
    );
  });
  test.each([
    [
      { ...three, breaks: [300, 150] },
      RangeError,
      'Cannot use tone scheme "three": breaks must ascend, got 150 after 300',
    ],
    [
      { ...three, breaks: [150, 150] },
      RangeError,
      'Cannot use tone scheme "three": breaks must ascend, got 150 after 150',
    ],
    [
      { ...three, breaks: [150, 700] },
      RangeError,
      'Cannot use tone scheme "three": a break must lie above 0 and not above 600, got 700',
    ],
    [
      { ...three, breaks: [0, 300] },
      RangeError,
      'Cannot use tone scheme "three": a break must lie above 0 and not above 600, got 0',
    ],
    [
      { ...three, breaks: [NaN, 300] },
      TypeError,
      'Cannot use tone scheme "three": a break must be a number, got null',
    ],
    [{ ...three, breaks: [150] }, RangeError, 'Cannot use tone scheme "three": 1 breaks make 2 bands, got 3'],
    [{ ...three, name: " " }, TypeError, 'Cannot use tone scheme: need a name, got " "'],
    [
      { ...three, kind: "notes" },
      TypeError,
      'Cannot use tone scheme "three": kind must be "bands" or "sliding", got "notes"',
    ],
    [
      { ...three, kind: "sliding" },
      RangeError,
      'Cannot use tone scheme "three": a sliding pitch has two bands, its ends, got 3',
    ],
    [
      { ...three, bands: [band("iron"), band("low"), band("low")] },
      RangeError,
      'Cannot use tone scheme "three": band names must differ, got "low" twice',
    ],
    [
      { ...three, bands: [band("iron", 5), band("low"), band("high")] },
      RangeError,
      'Cannot use tone scheme "three": a pitch must be 20 to 20000 Hz, got 5',
    ],
    [
      { ...three, bands: [band("iron", 110, 1.5), band("low"), band("high")] },
      RangeError,
      'Cannot use tone scheme "three": a loudness must be 0 to 1, got 1.5',
    ],
  ])("refuses %j", (scheme, kind, message) => {
    const run = () => checkToneScheme(scheme as ToneScheme, { scale });
    expect(run).toThrow(kind);
    expect(run).toThrow(new kind(message));
  });
  test("refuses an iron break outside the scale or missing", () => {
    expect(() => checkToneScheme(three, { scale, ironBreak: 601 })).toThrow(
      new RangeError(
        'Cannot use tone scheme "three": the iron break must lie on the scale 0 to 600, got 601',
      ),
    );
    expect(() => checkToneScheme(three, { scale, ironBreak: NaN })).toThrow(TypeError);
  });
});
