import { describe, expect, test } from "vitest";
import { learningTables, repeatNoiseOf, signalTables } from "../../lib/model/season_tables.ts";
import { machine, madeSeason, madeSignal, passesOf } from "./_season.ts";

const seasonOf = (...signals: ReturnType<typeof madeSignal>[]) => ({
  machines: [machine],
  settings: [],
  signals,
});

describe("learningTables()", () => {
  test("learns from dug signals of known outcome and counts the others by status", () => {
    const tables = learningTables(seasonOf(
      madeSignal({ signal_id: "1" }),
      madeSignal({ signal_id: "2", outcome: { status: "nothing-found", class: null, grade: null } }),
      madeSignal({ signal_id: "3", outcome: { status: "not-dug", class: null, grade: null } }),
      madeSignal({ signal_id: "4", outcome: { status: "stopped", class: null, grade: null } }),
      madeSignal({ signal_id: "5", outcome: { status: "known", class: "masked-good", grade: "measured" } }),
    ));
    expect(tables).toHaveLength(1);
    const [table] = tables;
    expect(table!.signals.map((signal) => signal.signal_id)).toEqual(["1", "5"]);
    expect([...table!.outcome]).toEqual([1, 2]);
    expect(table!.leftOut).toEqual({ unknown: 0, "nothing-found": 1, stopped: 1, hazard: 0, "not-dug": 1 });
    expect(table!.x.n).toBe(2);
  });
  test("never pools machines, nor settings that silence iron with those that do not", () => {
    const season = seasonOf(
      madeSignal({ signal_id: "1" }),
      madeSignal({ signal_id: "2", discrimination: "iron-silenced" }),
      madeSignal({ signal_id: "3", machine: "Machine B" }),
    );
    const other = { ...season, machines: [machine, { ...machine, machine: "Machine B" }] };
    expect(signalTables(other).map((table) => [table.machine.machine, table.discrimination, table.x.n]))
      .toEqual([
        ["Machine A", "iron-silenced", 1],
        ["Machine A", "none", 1],
        ["Machine B", "none", 1],
      ]);
    expect(() => signalTables(season)).toThrow(
      'Cannot make feature table: the machine must be described, got "Machine B"',
    );
  });
  test("a site's iron level comes from all its signals below the break, dug or not, and needs three", () => {
    const iron = (id: string, reading: number, site: string) =>
      madeSignal({
        signal_id: id,
        site,
        right: passesOf([reading]),
        left: passesOf([reading]),
        outcome: { status: "not-dug", class: null, grade: null },
      });
    const [table] = learningTables(
      seasonOf(
        madeSignal({ signal_id: "1", site: "A", right: passesOf([300]), left: passesOf([300]) }),
        iron("2", 100, "A"),
        iron("3", 110, "A"),
        iron("4", 150, "A"),
        madeSignal({ signal_id: "5", site: "B", right: passesOf([300]), left: passesOf([300]) }),
        iron("6", 100, "B"),
      ),
      { features: ["aboveSiteIron"] },
    );
    expect([...table!.x.columns[0]!]).toEqual([190, NaN]);
    expect([...table!.x.whyMissing[0]!]).toEqual([0, 3]);
  });
  test("an empty season gives no table; inputs stay frozen", () => {
    expect(learningTables({ machines: [], settings: [], signals: [] })).toEqual([]);
    const season = madeSeason({ signals: 20 });
    const before = JSON.stringify(season);
    learningTables(season);
    expect(JSON.stringify(season)).toBe(before);
  });
  test("refuses a feature known after the dig even for an empty season", () => {
    expect(() => learningTables({ machines: [], settings: [], signals: [] }, { features: ["iron_evidence"] }))
      .toThrow(
        'got "iron_evidence", known after it',
      );
  });
});

describe("repeatNoiseOf()", () => {
  const signal = (right: number[], left: number[]) => ({ right: passesOf(right), left: passesOf(left) });
  test("is the mean difference of two passes of one way, a mean over signals, over 2 / sqrt(pi)", () => {
    // Nine signals whose passes of one way lie 4 apart, and one with 8 to the right and 4 to the left: (9 x 4 + 6) / 10 = 4.2.
    const signals = [
      ...Array.from({ length: 9 }, () => signal([300, 304], [290])),
      signal([300, 308], [200, 204]),
    ];
    expect(repeatNoiseOf(signals)).toBeCloseTo(4.2 * Math.sqrt(Math.PI) / 2, 12);
    // What does not say how two passes lie counts for nothing.
    const range = { ...passesOf([280, 320]), kind: "range" as const, passes: null };
    expect(repeatNoiseOf([...signals, signal([300], [310]), { right: range, left: null }])).toBe(
      repeatNoiseOf(signals),
    );
  });
  test("is not told from nine signals", () => {
    expect(repeatNoiseOf(Array.from({ length: 9 }, () => signal([300, 304], [290, 291])))).toBeUndefined();
  });
});
