import { describe, expect, test } from "vitest";
import { passesInWords } from "../../lib/tones/passes_in_words.ts";
import { machineA, machineB, passes } from "./_log_rows.ts";

describe("passesInWords()", () => {
  test("tells the band of each pass in the order in which it sounds, silence last on its side", () => {
    expect(passesInWords({ right: passes(100, 500, "x"), left: passes(330) }, machineA)).toBe(
      "right iron, left middle, right high, right silent",
    );
  });
  test("puts a reading on a break into the upper band", () => {
    expect(passesInWords({ right: passes(210), left: passes(209) }, machineA)).toBe("right low, left iron");
    expect(passesInWords({ right: null, left: passes(-60, -65) }, machineB)).toBe("left metal, left iron");
  });
  test("tells no more passes than are sounded", () => {
    const record = { right: passes(100, 100, 100), left: passes(500, 500) };
    expect(passesInWords(record, machineA, { mostPasses: 3 })).toBe("right iron, left high, right iron");
  });
  test("refuses a record without passes", () => {
    expect(() => passesInWords({ right: null, left: null }, machineA)).toThrow(
      new RangeError("Cannot tell passes: need a pass, got none"),
    );
  });
});
