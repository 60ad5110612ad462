import { describe, expect, test } from "vitest";
import type { Outcome, Signal } from "../../lib/log/mod.ts";
import { signalsAboveBreak } from "../../lib/tones/signals_above_break.ts";
import { machineA, passes, signal } from "./_log_rows.ts";

const dug = (id: string, site: string, name: Outcome["class"], reading: number | "x") =>
  signal(id, {
    site,
    dug: "yes",
    outcome: { status: "known", class: name, grade: "measured" },
    right: passes(reading),
  });
const many = (site: string, name: Outcome["class"], above: number, below: number): Signal[] => [
  ...Array.from({ length: above }, (_, i) => dug(`${site}${name}a${i}`, site, name, 210)),
  ...Array.from({ length: below }, (_, i) => dug(`${site}${name}b${i}`, site, name, 209)),
];

describe("signalsAboveBreak()", () => {
  // Youden's J on the strongly unbalanced table 95 / 5 / 900 / 9000 (J = 0.859090909...; constructed for Youden 1950):
  // the same shares here, a hundred times fewer iron finds.
  const season = {
    machines: [machineA],
    settings: [],
    signals: [
      ...many("A", "masked-good", 50, 2),
      ...many("B", "masked-good", 45, 3),
      ...many("A", "ferrous", 5, 40),
      ...many("B", "ferrous", 4, 50),
    ],
  };
  test("gives the shares above the break, a reading on it counting as above", () => {
    const [arm] = signalsAboveBreak(season);
    expect(arm!.maskedGood).toMatchObject({ value: 0.95, n: { signals: 100, sites: 2 } });
    expect(arm!.ferrous).toMatchObject({ value: 9 / 99 });
    expect(arm!.nonFerrous).toMatchObject({
      absent: "no signals",
      reason: "A share of no signals does not exist",
    });
    if (!("value" in arm!.youden)) throw new Error("absent");
    expect(arm!.youden.value).toBeCloseTo(0.95 + 10 / 11 - 1, 12);
    // Balanced accuracy is the mean of the two shares: (J + 1) / 2.
    expect(arm!.balancedAccuracy).toMatchObject({
      value: expect.closeTo((0.95 + 90 / 99) / 2, 12),
      n: arm!.youden.n,
    });
    if (!("value" in arm!.balancedAccuracy)) throw new Error("absent");
    expect(arm!.balancedAccuracy.interval.low).toBeCloseTo((arm!.youden.interval.low + 1) / 2, 12);
    expect(arm!.balancedAccuracy.interval.high).toBeCloseTo((arm!.youden.interval.high + 1) / 2, 12);
    expect(arm!.youden.n).toEqual({ "masked goods": 100, "iron finds": 99, sites: 2 });
  });
  test("counts a silent signal as not above, and leaves out one without readings or without an outcome", () => {
    const [arm] = signalsAboveBreak({
      ...season,
      signals: [
        dug("1", "A", "ferrous", "x"),
        dug("2", "B", "ferrous", 300),
        signal("3", { outcome: { status: "known", class: "ferrous", grade: "measured" }, dug: "yes" }),
        signal("4", {
          outcome: { status: "unknown", class: null, grade: null },
          dug: "yes",
          right: passes(300),
        }),
      ],
    });
    expect(arm!.ferrous).toMatchObject({ value: 0.5, n: { signals: 2 } });
    expect(arm!.youden).toMatchObject({
      absent: "undefined",
      reason: "Youden's J needs a masked good and an iron find among the dug signals",
    });
  });
});
