import { describe, expect, test } from "vitest";
import fc from "fast-check";
import { bandOf } from "../../lib/tones/band_of.ts";

const scheme = (breaks: readonly number[]) => ({
  name: "test",
  kind: "bands" as const,
  breaks,
  bands: Array.from({ length: breaks.length + 1 }, (_, i) => ({ name: `${i}`, pitch_hz: 440, loudness: 1 })),
});

describe("bandOf()", () => {
  test("puts a reading on a break into the upper band", () => {
    expect([-61, -60, -59, 39, 40, 200].map((reading) => bandOf(reading, scheme([-60, 40])))).toEqual([
      0,
      1,
      1,
      1,
      2,
      2,
    ]);
  });
  test("knows one band only when there is no break", () => {
    expect(bandOf(-200, scheme([]))).toBe(0);
    expect(bandOf(600, scheme([]))).toBe(0);
  });
  test("equals the number of breaks at or below the reading, for 100 bands too", () => {
    fc.assert(
      fc.property(
        fc.uniqueArray(fc.integer({ min: -300, max: 700 }), { maxLength: 99 }),
        fc.integer({ min: -300, max: 700 }),
        (values, reading) => {
          const breaks = [...values].sort((a, b) => a - b);
          expect(bandOf(reading, scheme(breaks))).toBe(breaks.filter((value) => value <= reading).length);
        },
      ),
      { seed: 1 },
    );
  });
  test("refuses a reading that is no number", () => {
    expect(() => bandOf(NaN, scheme([]))).toThrow(
      new RangeError("Cannot give a band: the reading must be a number, got NaN"),
    );
  });
});
