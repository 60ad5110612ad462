import { describe, expect, test } from "vitest";
import type { Outcome, Signal } from "../../lib/log/mod.ts";
import { chance } from "../../lib/numbers/mod.ts";
import { betterBreaks } from "../../lib/tones/better_breaks.ts";
import { deepFreeze, machineA, passes, signal } from "./_log_rows.ts";

const dug = (id: string, site: string, name: Outcome["class"], reading: number | "x") =>
  signal(id, {
    site,
    dug: "yes",
    outcome: { status: "known", class: name, grade: "measured" },
    right: passes(reading),
  });
const two = { ...machineA.tones, breaks: [210], bands: machineA.tones.bands.slice(0, 2) };
const season = (signals: Signal[], tones: typeof two = two) =>
  deepFreeze({ machines: [{ ...machineA, tones }], settings: [], signals });
const sites = ["A", "B", "C", "D", "E", "F"];

describe("betterBreaks()", () => {
  test("beats a break that stands in the wrong place, on sites it never saw", () => {
    // Iron reads 100 to 250, goods 300 to 450: the machine's break at 210 lets iron sound good, one at 275 does not.
    const rows = sites.flatMap((site) =>
      [0, 1, 2, 3].flatMap((i) => [
        dug(`${site}i${i}`, site, "ferrous", 100 + 50 * i),
        dug(`${site}g${i}`, site, "masked-good", 300 + 50 * i),
      ])
    );
    // One site's iron lies elsewhere, so that sites differ.
    const [found] = betterBreaks(season([...rows, dug("x", "A", "ferrous", 600)]));
    expect(found!.chosen).toMatchObject({ breaks: [275], digs: [false, true], cost: 1 });
    expect(found!.ownBreaks).toEqual([210]);
    expect(found!.singleBreak).toHaveLength(601);
    const cheapest = found!.singleBreak.reduce((best, one) => one.cost < best.cost ? one : best);
    // Any break above 250 and not above 300 parts them: one iron of 49 signals is dug in vain.
    expect(cheapest).toEqual({ at: 251, cost: 1 / 49 });
    expect(found!.singleBreak[0]!.cost).toBeCloseTo(25 / 49, 12);
    expect(found!.singleBreak[210]!.cost).toBeCloseTo(7 / 49, 12);
    expect(found!.lowestBreak).toMatchObject({ absent: "no variation", n: { signals: 49, sites: 6 } });
    // 6 of 49 signals are the iron at 250 that only the machine's break digs.
    expect(found!.apparentGain).toMatchObject({ value: 6 / 49, n: { signals: 49, sites: 6 } });
    expect(found!.heldOutGain).toMatchObject({ value: 6 / 49 });
    expect(found!.ironDugMore).toMatchObject({ value: -6 / 25, n: { "iron finds": 25 } });
    expect(found!.goodDugMore).toMatchObject({ absent: "no variation" });
  });
  test("shows that choosing on the same data flatters: pure noise gains nothing on held-out sites", () => {
    const draw = chance(3, "test/noise");
    const rows = sites.flatMap((site) =>
      Array.from(
        { length: 12 },
        (_, i) =>
          dug(
            `${site}${i}`,
            site,
            draw.next() < 0.5 ? "ferrous" : "masked-good",
            Math.floor(600 * draw.next()),
          ),
      )
    );
    const [found] = betterBreaks(season(rows), { mostBands: 5, goodMissed: 1 });
    const { apparentGain, heldOutGain, optimism } = found!;
    if (!("value" in apparentGain) || !("value" in heldOutGain) || !("value" in optimism)) {
      throw new Error("absent");
    }
    expect(apparentGain.value).toBeGreaterThan(0.05);
    expect(heldOutGain.value).toBeLessThan(apparentGain.value / 2);
    expect(optimism.value).toBeCloseTo(apparentGain.value - heldOutGain.value, 12);
  });
  test("counts signals without a number and leaves out unknown outcomes", () => {
    const [found] = betterBreaks(season([
      dug("1", "A", "ferrous", 100),
      dug("2", "B", "masked-good", 400),
      dug("3", "B", "masked-good", "x"),
      signal("4", {
        dug: "yes",
        outcome: { status: "unknown", class: null, grade: null },
        right: passes(300),
      }),
    ]));
    expect(found!.withoutReading).toBe(1);
    expect(found!.chosen).toMatchObject({ good: 1, iron: 1 });
    expect(found!.heldOutGain).toMatchObject({
      absent: "too few",
      reason: "An interval needs 5 sites, got 2",
    });
  });
  test("says when no break brings anything", () => {
    const [found] = betterBreaks(season([dug("1", "A", "ferrous", 300), dug("2", "B", "masked-good", 300)]));
    expect(found!.lowestBreak).toMatchObject({ absent: "no break", n: { signals: 2, sites: 2 } });
    expect(found!.chosen).toMatchObject({ breaks: [], digs: [true] });
  });
  test("says that breaks need both kinds", () => {
    const [found] = betterBreaks(season([dug("1", "A", "ferrous", 100)]));
    expect(found!.chosen).toMatchObject({
      absent: "undefined",
      reason: "Breaks need good targets and iron among the dug signals",
    });
    expect(found!.heldOutGain).toMatchObject({ absent: "undefined" });
  });
  test("counts non-ferrous finds as good unless told otherwise", () => {
    const rows = [
      dug("1", "A", "ferrous", 100),
      dug("2", "A", "non-ferrous", 400),
      dug("3", "A", "masked-good", 300),
    ];
    expect(betterBreaks(season(rows))[0]!.chosen).toMatchObject({ good: 2 });
    expect(betterBreaks(season(rows), { good: ["masked-good"] })[0]!.chosen).toMatchObject({ good: 1 });
  });
});
