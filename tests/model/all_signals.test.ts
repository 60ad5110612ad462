import { describe, expect, test } from "vitest";
import type { Outcome, Season, Signal } from "../../lib/log/mod.ts";
import { allSignals } from "../../lib/model/all_signals.ts";
import { signalTables } from "../../lib/model/mod.ts";
import { idOf, machine, madeSignal, passesOf } from "./_season.ts";

type Kind = "ferrous" | "non-ferrous" | "masked-good" | "not dug" | "unknown" | "stopped";

const outcomeOf = (kind: Kind): Outcome =>
  kind === "not dug"
    ? { status: "not-dug", class: null, grade: null }
    : kind === "unknown" || kind === "stopped"
    ? { status: kind, class: null, grade: null }
    : { status: "known", class: kind, grade: "measured" };

/** Signals at one reading, so many of each kind, dealt to ten sites in turn. */
function at(reading: number | null, kinds: Partial<Record<Kind, number>>): Omit<Signal, "signal_id">[] {
  const passes = passesOf(reading === null ? [] : [reading, reading, reading], reading === null ? 3 : 0);
  return Object.entries(kinds).flatMap(([kind, count]) =>
    Array.from({ length: count }, (_, i) => ({
      ...madeSignal({
        site: String.fromCharCode(65 + i % 10),
        right: passes,
        left: passes,
        dug: kind === "not dug" ? "no" : kind === "stopped" ? "stopped" : "yes",
        outcome: outcomeOf(kind as Kind),
      }),
    }))
  );
}

const tableOf = (rows: readonly Omit<Signal, "signal_id">[]) => {
  const signals = rows.map((row, i) => ({ ...row, signal_id: idOf("s", i) }));
  const season: Season = { machines: [machine], settings: [], signals };
  return signalTables(season, { features: ["centre"] })[0]!;
};
const found = (rows: readonly Omit<Signal, "signal_id">[]) => {
  const answer = allSignals(tableOf(rows), { seed: 1, replicates: 200 });
  if ("absent" in answer) throw new Error(answer.reason);
  return answer;
};
const valueOf = (estimate: { readonly value?: number } | object): number =>
  (estimate as { value: number }).value;

describe("allSignals()", () => {
  // Begg and Greenes (1983), Biometrics 39:207-215: 650 scans, 344 looked into; counts from memory as in the check of the
  // two-outcome correction. The corrected share of the diseased is the one that its formula gives.
  test("is Begg and Greenes' correction where there are two strata and two outcomes", () => {
    const all = found([
      ...at(300, { "non-ferrous": 231, ferrous: 32, "not dug": 166 }),
      ...at(100, { "non-ferrous": 27, ferrous: 54, "not dug": 140 }),
    ]);
    const prevalence = (429 / 650) * (231 / 263) + (221 / 650) * (27 / 81);
    const diseased = all.outcomes[1]!;
    expect(valueOf(diseased.atLeast)).toBeCloseTo(prevalence, 12);
    expect(valueOf(diseased.atMost)).toBeCloseTo(prevalence, 12);
    expect(valueOf(diseased.dug)).toBeCloseTo(258 / 344, 12);
    expect([all.all, all.dug, all.bounded]).toEqual([650, 344, 0]);
  });

  test("corrects three outcomes, by hand", () => {
    const all = found([
      ...at(300, { ferrous: 10, "non-ferrous": 20, "masked-good": 10 }),
      ...at(100, { ferrous: 8, "masked-good": 2, "not dug": 50 }),
    ]);
    expect(all.outcomes.map(({ atLeast }) => valueOf(atLeast))).toEqual([
      expect.closeTo((10 + 60 * 0.8) / 100, 12),
      expect.closeTo(20 / 100, 12),
      expect.closeTo((10 + 60 * 0.2) / 100, 12),
    ]);
  });

  test("bounds a stratum with fewer than five dug signals and never guesses in it", () => {
    const all = found([
      ...at(300, { ferrous: 20, "non-ferrous": 20 }),
      ...at(100, { ferrous: 3, "masked-good": 1, "not dug": 56 }),
    ]);
    expect(all.bounded).toBe(56);
    expect(all.strata.map(({ thin }) => thin)).toEqual([true, false]);
    const [ferrous, , masked] = all.outcomes;
    expect([valueOf(ferrous!.atLeast), valueOf(ferrous!.atMost)]).toEqual([23 / 100, 79 / 100]);
    expect([valueOf(masked!.atLeast), valueOf(masked!.atMost)]).toEqual([1 / 100, 57 / 100]);
  });

  test("keeps silent signals a stratum of their own, and leaves stopped digs out", () => {
    const all = found([
      ...at(300, { ferrous: 20, "non-ferrous": 20, stopped: 7 }),
      ...at(null, { ferrous: 5, "not dug": 5, unknown: 2 }),
    ]);
    expect(all.all).toBe(52);
    expect(all.strata[0]).toMatchObject({ band: null, all: 12, dug: [5, 0, 0], thin: false });
  });

  test("parts bands by the step over the site's iron where the log tells it", () => {
    const rows = [
      ...at(100, { ferrous: 40 }),
      ...at(300, { "non-ferrous": 20, "not dug": 20 }),
      ...at(500, { "masked-good": 20 }),
    ];
    const signals = rows.map((row, i) => ({ ...row, signal_id: idOf("s", i) }));
    const table = signalTables({ machines: [machine], settings: [], signals })[0]!;
    const all = allSignals(table, { seed: 1, replicates: 200 });
    if ("absent" in all) throw new Error(all.reason);
    expect(all.strata.map(({ band, step, all }) => `${band} ${step} ${all}`)).toEqual([
      "0 low 40",
      "1 high 60",
    ]);
  });

  test("says why where nothing was passed by, or too little dug", () => {
    expect(allSignals(tableOf(at(300, { ferrous: 40 })), { seed: 1 })).toMatchObject({
      absent: "none passed",
    });
    expect(allSignals(tableOf(at(300, { ferrous: 29, "not dug": 9 })), { seed: 1 })).toMatchObject({
      absent: "too few",
      n: { signals: 38, dug: 29, sites: 10 },
    });
  });
});
