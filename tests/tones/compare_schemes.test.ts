import { describe, expect, test } from "vitest";
import type { Outcome, Signal, ToneScheme } from "../../lib/log/mod.ts";
import { compareSchemes, compareSchemesInGarden } from "../../lib/tones/compare_schemes.ts";
import { deepFreeze, machineA, passes, signal, trial } from "./_log_rows.ts";

const dug = (id: string, site: string, name: Outcome["class"], reading: number | "x") =>
  signal(id, {
    site,
    dug: "yes",
    outcome: { status: "known", class: name, grade: "measured" },
    right: passes(reading),
  });
const scheme = (name: string, breaks: number[]): ToneScheme => ({
  name,
  kind: "bands",
  breaks,
  bands: Array.from(
    { length: breaks.length + 1 },
    (_, i) => ({ name: `${i}`, pitch_hz: 220 + i, loudness: 1 }),
  ),
});
const sites = ["A", "B", "C", "D", "E"];
const season = deepFreeze({
  machines: [machineA],
  settings: [],
  signals: sites.flatMap((site, s): Signal[] => [
    dug(`${site}1`, site, "masked-good", 180), // heard only where the lowest break lies at or below 180
    dug(`${site}2`, site, "masked-good", s === 0 ? 190 : 300),
    dug(`${site}3`, site, "ferrous", 100),
    dug(`${site}4`, site, "ferrous", s < 2 ? 185 : 260),
    dug(`${site}5`, site, "masked-good", "x"),
  ]),
});

describe("compareSchemes()", () => {
  const low = scheme("low break", [180, 400]);
  const [own, other] = compareSchemes(season, { schemes: { "Machine A": [low] } });
  test("sets the machine's own scheme first", () => {
    expect(own!.of).toEqual({ machine: "Machine A", discrimination: "none", scheme: "own: four" });
    expect(other!.of.scheme).toBe("low break");
    expect([own!.bands, other!.bands, own!.own, other!.own]).toEqual([4, 3, true, false]);
  });
  test("counts how often masked goods and iron are heard; silence is not heard", () => {
    expect(own!.maskedHeard).toMatchObject({ value: 4 / 15, n: { signals: 15, sites: 5 } });
    expect(other!.maskedHeard).toMatchObject({ value: 10 / 15 });
    expect(own!.ironHeard).toMatchObject({ value: 3 / 10 });
    expect(other!.ironHeard).toMatchObject({ value: 5 / 10 });
  });
  test("says what the band next to iron holds", () => {
    // Own: 210 to 319 holds 4 masked goods (300) and 3 irons (260). Low break: 180 to 399 holds 10 and 5.
    expect(own!.nextIsGood).toMatchObject({ value: 4 / 7 });
    expect(other!.nextIsGood).toMatchObject({ value: 10 / 15 });
  });
  test("pairs the differences with the own scheme and tests them", () => {
    expect(own!.maskedDifference).toMatchObject({ absent: "the same", n: { signals: 15, sites: 5 } });
    expect(other!.maskedDifference).toMatchObject({
      value: expect.closeTo(6 / 15, 12),
      n: { signals: 15, sites: 5 },
    });
    expect(other!.ironDifference).toMatchObject({ value: 2 / 10 });
    // Six masked goods are heard under the low break only, none the other way: exact McNemar 2 / 2^6.
    expect(other!.maskedTest).toMatchObject({ disagreements: 6, pExact: expect.closeTo(2 / 64, 12) });
    expect(own!.maskedTest).toMatchObject({ absent: "undefined" });
  });
  test("tries the example schemes of the machine's own scale by itself", () => {
    expect(compareSchemes(season).map(({ of }) => of.scheme)).toEqual([
      "own: four",
      "one band, 0 to 600",
      "two bands, 0 to 600",
      "four bands, 0 to 600",
      "seven bands, 0 to 600",
      "sliding pitch, 0 to 600",
    ]);
    expect(compareSchemes(season)[1]!.maskedHeard).toMatchObject({ value: 0 });
  });
  test("refuses a scheme of another scale", () => {
    expect(() => compareSchemes(season, { schemes: { "Machine A": [scheme("far", [700])] } })).toThrow(
      new RangeError('Cannot use tone scheme "far": a break must lie above 0 and not above 600, got 700'),
    );
  });
});

describe("compareSchemesInGarden()", () => {
  const garden = deepFreeze({
    machines: [machineA],
    settings: [],
    trials: sites.flatMap((block, b) => [
      trial(`c${block}`, { block, target: "disc", right: passes(500) }),
      trial(`t${block}`, {
        block,
        target: "disc",
        neighbour: "nail",
        gap_cm: 1,
        right: passes(b < 2 ? 460 : 300),
      }),
      trial(`s${block}`, { block, target: "disc", neighbour: "nail", gap_cm: 1, right: passes("x") }),
    ]),
  });
  const [own, seven] = compareSchemesInGarden(garden, {
    schemes: { "Machine A": [scheme("seven", [210, 270, 330, 390, 450, 480])] },
  });
  test("counts trials moved into another band or silenced, and bands dropped by those that sound", () => {
    expect(own!.moved).toMatchObject({ value: 8 / 10, n: { trials: 10, blocks: 5 } });
    expect(own!.dropped).toMatchObject({ value: (3 * 2) / 5, n: { trials: 5, blocks: 5 } });
    expect(seven!.moved).toMatchObject({ value: 1 });
    expect(seven!.dropped).toMatchObject({ value: (2 * 1 + 3 * 4) / 5 });
    expect(seven!.movedDifference).toMatchObject({ value: expect.closeTo(0.2, 12) });
  });
});
