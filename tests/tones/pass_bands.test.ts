import { describe, expect, test } from "vitest";
import type { Passes } from "../../lib/log/mod.ts";
import { passBands } from "../../lib/tones/pass_bands.ts";

const scheme = {
  name: "two",
  kind: "bands" as const,
  breaks: [150],
  bands: [{ name: "iron", pitch_hz: 110, loudness: 1 }, { name: "not iron", pitch_hz: 440, loudness: 1 }],
};
const passes = (readings: readonly number[], silent = 0): Passes =>
  Object.freeze({
    written: readings.join(" "),
    kind: "passes",
    readings: Object.freeze([...readings]),
    silent,
    passes: readings.length + silent,
    approximate: false,
  });
const summary: Passes = {
  written: "100-200",
  kind: "range",
  readings: [100, 200],
  silent: 0,
  passes: null,
  approximate: false,
};

describe("passBands()", () => {
  test("counts the passes of all cells, silent ones apart", () => {
    expect(passBands([passes([149, 150], 1), null, passes([600])], scheme)).toEqual({
      counts: [1, 2],
      silent: 1,
    });
  });
  test("does not take a summary for passes", () => {
    expect(passBands([summary, passes([10])], scheme)).toEqual({ counts: [1, 0], silent: 0 });
    expect(passBands([summary], scheme)).toMatchObject({ absent: "summary" });
  });
  test("says that nothing was logged", () => {
    expect(passBands([null, null], scheme)).toMatchObject({ absent: "not logged", n: { passes: 0 } });
    expect(passBands([], scheme)).toMatchObject({ absent: "not logged" });
  });
  test("counts a signal that never gave a number", () => {
    expect(passBands([passes([], 4)], scheme)).toEqual({ counts: [0, 0], silent: 4 });
  });
});
