import { describe, expect, test } from "vitest";
import { signalBand } from "../../lib/tones/signal_band.ts";
import { machineA, passes } from "./_log_rows.ts";

const summary = (kind: "range" | "low-usual-high", ...readings: number[]) => ({
  written: readings.join("-"),
  kind,
  readings,
  silent: 0,
  passes: null,
  approximate: false,
});

describe("signalBand()", () => {
  test("is the band of the median over both directions, cross passes aside", () => {
    expect(
      signalBand(
        { right: passes(200, 205, 320), left: passes(330, 331), cross: passes(10, 10, 10) },
        machineA,
      ),
    ).toBe(2);
  });
  test("tells silence from nothing logged", () => {
    expect(signalBand({ right: passes("x"), left: null, cross: null }, machineA)).toBe("silent");
    expect(signalBand({ right: null, left: null, cross: passes(100) }, machineA)).toMatchObject({
      absent: "not logged",
    });
  });
  test("takes the middle of a range and the usual of a low-usual-high", () => {
    expect(signalBand({ right: summary("range", 100, 318), left: null, cross: null }, machineA)).toBe(0);
    expect(signalBand({ right: summary("range", 100, 320), left: null, cross: null }, machineA)).toBe(1);
    expect(signalBand({ right: summary("low-usual-high", 100, 430, 440), left: null, cross: null }, machineA))
      .toBe(3);
  });
  test("tells the ends of a sliding pitch apart at the iron break", () => {
    const slide = {
      name: "slide",
      kind: "sliding" as const,
      breaks: [],
      bands: machineA.tones.bands.slice(0, 2),
    };
    const at = (reading: number) =>
      signalBand({ right: passes(reading), left: null, cross: null }, { ...machineA, tones: slide });
    expect([at(209), at(210)]).toEqual([0, 1]);
  });
});
