import { describe, expect, test } from "vitest";
import { inHundred, wholeHundredths } from "../../lib/decide/hundredths.ts";
import { chance } from "../../lib/numbers/mod.ts";

describe("wholeHundredths()", () => {
  test("sums to 100 and is never a whole hundredth off", () => {
    for (let i = 0; i < 500; i++) {
      const stream = chance(3, "decide/hundredths", i);
      const drawn = [stream.next(), stream.next(), stream.next()];
      const sum = drawn.reduce((a, b) => a + b, 0);
      const shares = Object.freeze(drawn.map((each) => each / sum));
      const whole = wholeHundredths(shares);
      expect(whole.reduce((a, b) => a + b, 0)).toBe(100);
      whole.forEach((each, k) => expect(Math.abs(each - 100 * shares[k]!)).toBeLessThan(1));
    }
  });
  test("by hand: equal thirds, one sure thing, remainders that tie, the seats of three lists", () => {
    expect(wholeHundredths([1 / 3, 1 / 3, 1 / 3])).toEqual([34, 33, 33]);
    expect(wholeHundredths([1, 0, 0])).toEqual([100, 0, 0]);
    expect(wholeHundredths([0.005, 0.005, 0.99])).toEqual([1, 0, 99]);
    expect(wholeHundredths([0.29, 0.57, 0.14])).toEqual([29, 57, 14]);
  });
  test("refuses shares that do not sum to 1", () => {
    expect(() => wholeHundredths([0.5, 0.4])).toThrow(RangeError);
    expect(() => wholeHundredths([0.5, 0.4])).toThrow(
      "Cannot round to hundredths: shares must sum to 1, got 0.9",
    );
    expect(() => wholeHundredths([])).toThrow("got 0");
    expect(() => wholeHundredths([NaN, 1])).toThrow("got NaN");
  });
});

test("inHundred() never says that a thing is sure or cannot be", () => {
  expect([0, 1, 99, 100].map(inHundred)).toEqual([
    "under 1 in 100",
    "1 in 100",
    "99 in 100",
    "over 99 in 100",
  ]);
});
