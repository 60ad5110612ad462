import { describe, expect, test } from "vitest";
import type { Find, Outcome, Signal } from "../../lib/log/mod.ts";
import {
  outcomeRow,
  outcomeRows,
  type SeasonAtAGlance,
  seasonAtAGlance,
} from "../../lib/sweep/season_at_a_glance.ts";
import { deepFreeze, machineA, signal } from "../tones/_log_rows.ts";

const find = (id: string, keep: Find["keep"]): Find => ({
  find_id: id,
  hole_id: "",
  order: 1,
  metal: null,
  keep,
  depth_cm: null,
  readings_alone: null,
  what: null,
  reported: null,
});
const known = (name: Outcome["class"]): Outcome => ({ status: "known", class: name, grade: "by-evidence" });
const only = (status: Outcome["status"]): Outcome => ({ status, class: null, grade: null });
const season = (signals: readonly Signal[]) => deepFreeze({ machines: [machineA], settings: [], signals });

const mixed = season([
  signal("1", {
    dug: "yes",
    outcome: known("ferrous"),
    my_call: "good",
    finds: [find("a", "no"), find("b", "no")],
  }),
  signal("2", {
    dug: "yes",
    outcome: known("non-ferrous"),
    my_call: "good",
    finds: [find("c", "yes")],
    site: "B",
  }),
  signal("3", {
    dug: "yes",
    outcome: known("masked-good"),
    my_call: "iron",
    finds: [find("d", "yes"), find("e", "no"), find("f", null)],
  }),
  signal("4", { dug: "yes", outcome: only("nothing-found"), date: "2025-04-09" }),
  signal("5", { dug: "yes", outcome: only("hazard"), finds: [find("g", "hazard")], site: "B" }),
  signal("6", { dug: "stopped", outcome: only("stopped"), my_call: "cannot-say", date: null }),
  signal("7", { outcome: only("not-dug"), my_call: "iron" }),
  signal("8", { dug: "yes", outcome: only("unknown"), hole_id: "H1", finds: [find("h", "no")] }),
  signal("9", {
    dug: "yes",
    outcome: known("ferrous"),
    hole_id: "H1",
    finds: [find("h", "no")],
    my_call: "iron",
  }),
]);

describe("seasonAtAGlance()", () => {
  const glance = seasonAtAGlance(mixed);
  const total = ({ counts }: { counts: readonly (readonly number[])[] }) =>
    counts.flat().reduce((a, b) => a + b, 0);

  test("adds up in every table of signals", () => {
    expect(glance.signals).toBe(9);
    expect(glance.outcomes.map(({ signals }) => signals)).toEqual([2, 1, 1, 1, 1, 1, 1, 1]);
    for (const table of [glance.bySite, glance.byMonth, glance.callByOutcome, glance.callByDug]) {
      expect(total(table)).toBe(9);
    }
    expect(glance.sites.reduce((sum, { signals }) => sum + signals, 0)).toBe(9);
  });
  test("counts holes once where signals share one, and finds with them", () => {
    expect(glance.holes).toBe(6);
    expect(glance.finds).toBe(8);
    expect(glance.goodFinds).toBe(2);
    expect(glance.findsPerHole.map(({ holes }) => holes)).toEqual([1, 3, 1, 1]);
    expect(glance.findsPerHole.reduce((sum, { holes }) => sum + holes, 0)).toBe(glance.holes);
  });
  test("puts undated signals under a name of their own, last, and days into months", () => {
    expect(glance.byMonth.rows).toEqual(["2025-03", "2025-04", "not dated"]);
  });
  test("shows own call against outcome and against what was left in the ground", () => {
    expect(glance.callByOutcome.rows).toEqual(["good", "iron", "cannot-say", "not logged"]);
    expect(glance.callByOutcome.counts[0]).toEqual([1, 0, 1, 0, 0, 0, 0, 0]);
    expect(glance.callByDug.counts).toEqual([[2, 0, 0], [2, 0, 1], [0, 1, 0], [3, 0, 0]]);
    expect(glance.goodCallNotIron).toMatchObject({ value: 0.5, n: { signals: 2, sites: 2 } });
    expect(glance.ironCallIron).toMatchObject({ value: 0.5, n: { signals: 2, sites: 1 } });
    expect(glance.leftUndug).toMatchObject({ value: 1 / 9 });
  });
  test("states holes for one good find, with an interval by site", () => {
    // Six sites of four holes with 1, 1, 1, 1, 2 and 2 good finds: 24 holes for 8. A redrawn set of six sites holds 6 to 12,
    // so no limit lies outside 24 / 12 and 24 / 6.
    const rows = [1, 1, 1, 1, 2, 2].flatMap((good, s) =>
      [0, 1, 2, 3].map((i) =>
        signal(`${s}${i}`, {
          site: `site ${s}`,
          dug: "yes",
          outcome: known("non-ferrous"),
          finds: [find(`${s}${i}`, i < good ? "yes" : "no")],
        })
      )
    );
    const { holesPerGoodFind } = seasonAtAGlance(season(rows));
    expect(holesPerGoodFind).toMatchObject({ value: 3, n: { holes: 24, "good finds": 8, sites: 6 } });
    if (!("value" in holesPerGoodFind)) throw new Error("absent");
    const { low, high, method } = holesPerGoodFind.interval;
    expect(method).toContain("bootstrap of whole sites");
    expect(low >= 2 && low < 3 && high > 3 && high <= 4).toBe(true);
  });
  test("takes outings where sites are few, and says so", () => {
    const rows = Array.from({ length: 24 }, (_, i) =>
      signal(`${i}`, {
        site: i < 12 ? "A" : "B",
        outing_id: `O${i % 6}`,
        dug: "yes",
        outcome: known("non-ferrous"),
        finds: [find(`${i}`, i % 4 === 0 ? "yes" : "no")],
      }));
    expect(seasonAtAGlance(season(rows)).holesPerGoodFind).toMatchObject({
      value: 4,
      n: { sites: 2, outings: 12 },
      interval: { method: expect.stringMatching(/bootstrap of whole outings.*fewer than 5 sites/) },
    });
  });
  test("counts a stated masked good without a written find as one good find", () => {
    const stated = seasonAtAGlance(season([
      signal("1", { dug: "yes", outcome: { status: "known", class: "masked-good", grade: "as-stated" } }),
    ]));
    expect([stated.holes, stated.finds, stated.goodFinds]).toEqual([1, 1, 1]);
  });
});

describe("seasonAtAGlance(), where a number does not exist", () => {
  test("an empty season has counts of 0 and no ratios", () => {
    const empty = seasonAtAGlance(season([]));
    expect(empty.signals + empty.holes + empty.finds).toBe(0);
    const keys = [
      "holesPerGoodFind",
      "meanFindsPerHole",
      "goodCallNotIron",
      "ironCallIron",
      "leftUndug",
    ] as const;
    for (const key of keys satisfies readonly (keyof SeasonAtAGlance)[]) {
      expect("absent" in empty[key]).toBe(true);
    }
  });
  test("no good find: said, not infinite", () => {
    const none = seasonAtAGlance(
      season([signal("1", { dug: "yes", outcome: known("ferrous"), finds: [find("a", "no")] })]),
    );
    expect(none.holesPerGoodFind).toMatchObject({
      absent: "no good find",
      n: { holes: 1, "good finds": 0, sites: 1 },
    });
  });
  test("few sites and outings: no interval for a ratio, Wilson's for a share", () => {
    const one = seasonAtAGlance(season([
      signal("1", { dug: "yes", outcome: known("non-ferrous"), finds: [find("a", "yes")] }),
      signal("2", { outcome: only("not-dug") }),
    ]));
    expect(one.holesPerGoodFind).toMatchObject({ absent: "too few" });
    expect(one.leftUndug).toMatchObject({
      value: 0.5,
      interval: { method: "Wilson, signals taken as independent (fewer than 5 sites and outings)" },
    });
  });
  test("good finds on too few sites: no upper limit, and said", () => {
    const rare = ["A", "B", "C", "D", "E", "F"].flatMap((site) =>
      [1, 2].map((i) =>
        signal(`${site}${i}`, {
          site,
          dug: "yes",
          outcome: known("ferrous"),
          finds: [find(`${site}${i}`, site === "A" ? "yes" : "no")],
        })
      )
    );
    expect(seasonAtAGlance(season(rare)).holesPerGoodFind).toMatchObject({ absent: "no upper limit" });
  });
  test("is the same in any order of rows", () => {
    const rows = Array.from({ length: 60 }, (_, i) =>
      signal(`${i}`, {
        site: "ABCDEF"[i % 6]!,
        dug: "yes",
        outcome: known("ferrous"),
        finds: [find(`${i}`, (i * i) % 7 < 1 + (i % 6) / 2 ? "yes" : "no")],
      }));
    const one = seasonAtAGlance(season(rows)).holesPerGoodFind;
    expect(seasonAtAGlance(season([...rows].reverse())).holesPerGoodFind).toEqual(one);
    expect("value" in one).toBe(true);
  });
  test("refuses a level or replicates that make no interval", () => {
    expect(() => seasonAtAGlance(season([]), { level: 1 })).toThrow(
      new RangeError("Cannot count season: level must lie between 0 and 1, got 1"),
    );
    expect(() => seasonAtAGlance(season([]), { replicates: 5 })).toThrow(
      new RangeError("Cannot count season: replicates must be 100 or more, got 5"),
    );
  });
});

describe("outcomeRow()", () => {
  test("is the class where the outcome is known, else the status", () => {
    expect(outcomeRow(known("masked-good"))).toBe("masked-good");
    expect(outcomeRow(only("hazard"))).toBe("hazard");
    expect(outcomeRows).toHaveLength(8);
  });
});
