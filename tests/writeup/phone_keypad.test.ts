import { describe, expect, test } from "vitest";
import { readReadings } from "../../lib/log/mod.ts";
import { chance } from "../../lib/numbers/mod.ts";
import { type PadKey, padPasses, pressKey, tidyReadings } from "../../lib/writeup/phone_keypad.ts";

const press = (keys: readonly PadKey[], cell = ""): string => keys.reduce(pressKey, cell);
const scale = { low: -200, high: 200, step: 5 };

describe("pressKey()", () => {
  test("writes passes, passes without a number, a sign and a decimal point", () => {
    expect(press(["4", "1", "2", "next", "4", "0", "9"])).toBe("412 409");
    expect(press(["none", "none", "4"])).toBe(". . 4");
    expect(press(["4", "none", "minus", "5"])).toBe("4 . -5");
    expect(press(["minus", "1", "0", "next", "minus", "5"])).toBe("-10 -5");
    expect(press(["1", ".", "5", "next", "2"])).toBe("1.5 2");
  });
  test("joins lowest, usual and highest, below zero too", () => {
    expect(press(["2", "2", "to", "3", "8", "to", "4", "1"])).toBe("22-38-41");
    expect(press(["minus", "4", "0", "to", "minus", "3", "5"])).toBe("-40--35");
  });
  test.each<[string, string, PadKey]>([
    ["a second gap", "412 ", "next"],
    ["a gap before anything", "", "next"],
    ["a gap inside a range", "22-38", "next"],
    ["a fourth part of a range", "22-38-41", "to"],
    ["a range after passes", "22 38", "to"],
    ["a range from nothing", "", "to"],
    ["a second sign", "-", "minus"],
    ["a sign inside a number", "12", "minus"],
    ["a second point", "1.5", "."],
    ["a point without a digit", "", "."],
    ["a silent pass inside a range", "22-38", "none"],
    ["a silent pass after a lone sign", "-", "none"],
  ])("leaves the cell as it was: %s", (_, cell, key) => expect(pressKey(cell, key)).toBe(cell));
  test("erase takes the last sign away, and nothing from nothing", () => {
    expect(press(["erase"], "41")).toBe("4");
    expect(press(["erase"], "")).toBe("");
  });
  test("takes no more than 200 signs of digits", () => {
    expect(pressKey("1".repeat(200), "1")).toHaveLength(200);
  });
  test("whatever is pressed, the kit's own reader can read what stands there once it is tidied", () => {
    const keys: readonly PadKey[] = [..."0123456789."]
      .concat(["minus", "next", "none", "to", "erase", "next", "none"]) as PadKey[];
    const wide = { low: -1e15, high: 1e15, step: 1 };
    let read = 0;
    for (let i = 0; i < 3000; i++) {
      const stream = chance(5, "writeup/keypad-test", i);
      const made = press(
        Array.from(
          { length: 1 + Math.floor(12 * stream.next()) },
          () => keys[Math.floor(keys.length * stream.next())]!,
        ),
      );
      const text = tidyReadings(made);
      if (text === "") continue;
      const found = readReadings(text, { scale: wide });
      // Three numbers that do not rise, and nothing else, are for the person to put right.
      if ("fault" in found) {
        expect(text, found.fault).toMatch(/^-?[\d.]+--?[\d.]+--?[\d.]+$/);
        continue;
      }
      read++;
      const { readings, silent } = found.passes!;
      if (!/\d-/.test(text)) expect(readings.length + silent, text).toBe(text.split(" ").length);
    }
    expect(read).toBeGreaterThan(1500);
  });
});

describe("tidyReadings()", () => {
  test.each([
    ["412 ", "412"],
    ["412 .", "412 ."],
    ["22-38-", "22-38"],
    ["12.", "12"],
    ["5 -", "5"],
    ["-", ""],
    [". .", ". ."],
    ["-5", "-5"],
    ["", ""],
  ])("%j becomes %j", (cell, tidy) => expect(tidyReadings(cell)).toBe(tidy));
});

describe("padPasses()", () => {
  test("gives passes, nothing, or the rule broken", () => {
    expect(padPasses("40 . -5 ", scale).passes).toMatchObject({ readings: [40, -5], silent: 1, passes: 3 });
    expect(padPasses(undefined, scale)).toEqual({ passes: null, fault: null });
    expect(padPasses(" ", scale)).toEqual({ passes: null, fault: null });
    expect(padPasses("999", scale).passes).toBeNull();
    expect(padPasses("999", scale).fault).toMatch(/-200.*200|200/);
    expect(padPasses("41-22-30", scale).fault).not.toBeNull();
  });
});
