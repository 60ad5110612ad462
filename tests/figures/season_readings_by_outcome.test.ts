import { describe, expect, test } from "vitest";
import { seasonReadingsByOutcome } from "../../lib/figures/season_readings_by_outcome.ts";
import { four } from "./_season_of.ts";

describe("seasonReadingsByOutcome()", () => {
  test("draws the classes that occur, the ends of the scale included, and counts what lies above the break", () => {
    const svg = seasonReadingsByOutcome(four, { name: "readings", machine: "Machine A" });
    for (const word of ["iron (2 signals)", "masked goods (1 signals)", "middle"]) {
      expect(svg).toContain(word);
    }
    expect(svg).not.toContain("other non-ferrous (");
    expect(svg).toContain("On or above the iron break of 210: 1 of 2 iron, 1 of 1 masked goods.");
  });
  test("refuses a machine nobody described, too few bins, and nothing to draw", () => {
    expect(() => seasonReadingsByOutcome(four, { name: "r", machine: "Machine C" })).toThrow(
      new RangeError('Cannot draw "r": no machine "Machine C" in the season'),
    );
    expect(() => seasonReadingsByOutcome(four, { name: "r", machine: "Machine A", bins: 1 })).toThrow(
      new RangeError('Cannot draw "r": need 2 bins or more, got 1'),
    );
    expect(() => seasonReadingsByOutcome(four, { name: "r", machine: "Machine B" })).toThrow(
      new RangeError('Cannot draw "r": no dug signal has an outcome and a number'),
    );
  });
});
