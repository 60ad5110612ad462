import { describe, expect, test } from "vitest";
import type { Outcome } from "../../lib/log/mod.ts";
import { outcomeRows } from "../../lib/sweep/mod.ts";
import { bandByOutcome } from "../../lib/tones/band_by_outcome.ts";
import { deepFreeze, machineA, machineB, passes, signal } from "./_log_rows.ts";

const known = (name: Outcome["class"]): Outcome => ({ status: "known", class: name, grade: "by-evidence" });
const season = deepFreeze({
  machines: [machineA, machineB],
  settings: [],
  signals: [
    signal("s1", { right: passes(100, 120), left: passes(90), outcome: known("ferrous"), dug: "yes" }),
    signal("s2", {
      right: passes(330, 340),
      left: passes(200),
      outcome: known("ferrous"),
      dug: "yes",
      site: "B",
    }),
    signal("s3", { right: passes(210), outcome: known("masked-good"), dug: "yes" }),
    signal("s4", {
      right: passes("x"),
      outcome: { status: "nothing-found", class: null, grade: null },
      dug: "yes",
    }),
    signal("s5", {}),
    signal("s6", {
      right: passes(500),
      discrimination: "iron-silenced",
      outcome: known("non-ferrous"),
      dug: "yes",
    }),
    signal("s7", { machine: "Machine B", right: passes(-60), outcome: known("non-ferrous"), dug: "yes" }),
  ],
});

describe("bandByOutcome()", () => {
  const arms = bandByOutcome(season);
  test("keeps machines and discrimination settings apart", () => {
    expect(arms.map(({ of, signals }) => [of.machine, of.discrimination, signals.n])).toEqual([
      ["Machine A", "iron-silenced", 1],
      ["Machine A", "none", 5],
      ["Machine B", "none", 1],
    ]);
  });
  test("counts every signal once, by the band of its centre; a reading on a break lies in the upper band", () => {
    const { signals } = arms[1]!;
    expect(signals.columns).toEqual(["iron", "low", "middle", "high", "silent", "not logged"]);
    const row = (name: typeof outcomeRows[number]) => signals.counts[outcomeRows.indexOf(name)];
    expect(row("ferrous")).toEqual([1, 0, 1, 0, 0, 0]);
    expect(row("masked-good")).toEqual([0, 1, 0, 0, 0, 0]);
    expect(row("nothing-found")).toEqual([0, 0, 0, 0, 1, 0]);
    expect(row("not-dug")).toEqual([0, 0, 0, 0, 0, 1]);
  });
  test("counts passes apart, with silent ones", () => {
    const { passes: table } = arms[1]!;
    expect(table.counts[0]).toEqual([4, 0, 2, 0, 0]);
    expect(table.n).toBe(8);
  });
  test("adds up to the season", () => {
    expect(arms.reduce((sum, { signals }) => sum + signals.n, 0)).toBe(season.signals.length);
  });
});
