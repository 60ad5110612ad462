import { describe, expect, test } from "vitest";
import { absent, counted, isPresent, present } from "../../lib/numbers/estimate.ts";

const interval = { low: 0.1, high: 0.5, level: 0.95, method: "Wilson" };

describe("estimates", () => {
  test("present() carries value, interval and counts", () => {
    expect(present(0.25, interval, { signals: 12 })).toEqual({ value: 0.25, interval, n: { signals: 12 } });
  });
  test("present() refuses numbers that do not exist", () => {
    expect(() => present(NaN, interval, {})).toThrow(
      new RangeError("Cannot make an estimate: value must be a finite number, got NaN"),
    );
    expect(() => present(1, { ...interval, high: Infinity }, {})).toThrow(
      new RangeError("Cannot make an estimate: high must be a finite number, got Infinity"),
    );
    expect(() => present(1, interval, { signals: NaN })).toThrow(
      new RangeError("Cannot make an estimate: signals must be a finite number, got NaN"),
    );
  });
  test("isPresent() tells a value from an absence", () => {
    expect(isPresent(present(0, interval, {}))).toBe(true);
    expect(isPresent(absent("too few", "Two passes cannot show a spread", { passes: 2 }))).toBe(false);
  });
  test("counted() has the count as its interval at level 1", () => {
    expect(counted(3, { signals: 3 })).toEqual({
      value: 3,
      interval: { low: 3, high: 3, level: 1, method: "counted, not estimated" },
      n: { signals: 3 },
    });
  });
});
