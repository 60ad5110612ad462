import { describe, expect, test } from "vitest";
import { digOneIn } from "../../lib/decide/dig_one_in.ts";
import { wouldPass } from "../../lib/decide/would_pass.ts";
import { decideOneInTable } from "../../lib/figures/mod.ts";
import type { Outcome, Signal } from "../../lib/log/mod.ts";
import { signalTables } from "../../lib/model/mod.ts";
import { absent, present, wilsonInterval } from "../../lib/numbers/mod.ts";
import { idOf, machine, madeSignal, passesOf } from "../model/_season.ts";

const share = (value: number, low: number, high: number, holes: number) =>
  present(value, { low, high, level: 0.95, method: "made up" }, { holes, sites: 9 });

describe("digOneIn()", () => {
  test("digs all where even the low end of the share pays", () => {
    expect(digOneIn(share(0.4, 0.3, 0.5, 90), { dug: 90, passed: 50, worth: 5 })).toEqual({
      advice: "dig them",
      oneIn: 1,
      holes: 50,
      moreThanPassed: false,
    });
  });

  test("where they do not pay, digs the fewest that without a good find put Wilson's limit under one over the worth", () => {
    for (const worth of [2, 3, 5, 10, 30]) {
      const { advice, holes, oneIn } = digOneIn(share(0.001, 0, 0.002, 900), {
        dug: 900,
        passed: 1000,
        worth,
      });
      expect(advice).toBe("pass");
      expect(wilsonInterval(0, holes).high).toBeLessThan(1 / worth);
      expect(wilsonInterval(0, holes - 1).high).toBeGreaterThanOrEqual(1 / worth);
      expect(oneIn).toBe(Math.floor(1000 / holes));
    }
  });

  test("where the holes cannot tell, digs what would part the share from one over the worth, less those dug", () => {
    // z^2 p (1 - p) / (p - 1/w)^2, with p (1 - p) at its larger end: 3.8415 * 0.16 / 0.01 = 61.5.
    expect(digOneIn(share(0.1, 0.04, 0.22, 40), { dug: 40, passed: 200, worth: 5 })).toMatchObject({
      advice: "learn",
      holes: 22,
      oneIn: 9,
    });
    expect(digOneIn(share(0.19, 0.1, 0.3, 40), { dug: 40, passed: 200, worth: 5 })).toMatchObject({
      advice: "learn",
      holes: 200,
      oneIn: 1,
      moreThanPassed: true,
    });
  });

  test("without any hole of the kind, begins with as many as could show that they do not pay", () => {
    const none = absent("no cases", "There are no holes to divide by", { holes: 0 });
    expect(digOneIn(none, { dug: 0, passed: 64, worth: 5 })).toMatchObject({
      advice: "learn",
      holes: 16,
      oneIn: 4,
    });
  });

  test("refuses a worth of one hole and half a signal", () => {
    const some = share(0.1, 0.05, 0.2, 40);
    expect(() => digOneIn(some, { dug: 40, passed: 10, worth: 1 })).toThrow(
      "must be worth more than 1 hole, got 1",
    );
    expect(() => digOneIn(some, { dug: 40, passed: 1.5, worth: 5 })).toThrow(
      "must be a whole number, got 1.5",
    );
  });
});

describe("wouldPass()", () => {
  const known = (name: "ferrous" | "masked-good"): Outcome => ({
    status: "known",
    class: name,
    grade: "measured",
  });
  const notDug: Outcome = { status: "not-dug", class: null, grade: null };
  const tableOf = (rows: readonly Partial<Signal>[]) =>
    signalTables({
      machines: [machine],
      settings: [],
      signals: rows.map((row, i) => madeSignal({ site: "ABC"[i % 3]!, ...row, signal_id: idOf("s", i) })),
    })[0]!;
  const rows: Partial<Signal>[] = [
    ...Array.from({ length: 9 }, () => ({ my_call: "iron" as const, outcome: known("ferrous") })),
    { my_call: "iron", outcome: known("masked-good") },
    { my_call: "iron", dug: "no", outcome: notDug },
    { my_call: "iron", dug: "stopped", outcome: { status: "stopped", class: null, grade: null } },
    { my_call: "good", dug: "no", outcome: notDug },
  ];

  test("goes by the own call: what was called iron", () => {
    const found = wouldPass(tableOf(rows));
    expect(found).toMatchObject({
      by: "own call",
      passed: 1,
      good: { value: 0.1, n: { holes: 10, sites: 3 } },
    });
  });

  test("goes by the iron break where no call was logged", () => {
    const low = passesOf([100, 101, 102]);
    const found = wouldPass(tableOf([
      { my_call: null, right: low, left: low, dug: "no", outcome: notDug },
      { my_call: null, dug: "no", outcome: notDug },
    ]));
    expect(found).toMatchObject({ by: "iron break", passed: 1, good: { absent: "no cases" } });
  });

  test("is told in a row a worth, each number recorded", () => {
    const table = tableOf(rows);
    const { text, recorded } = decideOneInTable(table, { ...wouldPass(table), passed: 64 });
    expect(text).toContain("64 signals called iron were not dug");
    expect(text.split("\n").filter((line) => /^\d+ holes \|/.test(line))).toHaveLength(3);
    expect(recorded.results.map(({ id }) => id)).toContain("decide.digOneIn");
  });
});
