import { describe, expect, test } from "vitest";
import { cleanByTogether } from "../../lib/tones/clean_by_together.ts";
import { deepFreeze, machineA, machineB, passes, trial } from "./_log_rows.ts";

const disc = { target: "disc" };
const beside = (gap_cm: number | null, neighbour = "long nail") => ({ target: "disc", neighbour, gap_cm });
const garden = deepFreeze({
  machines: [machineA, machineB],
  settings: [],
  trials: [
    trial("c1", { ...disc, right: passes(500, 510), left: passes(505) }),
    trial("t1", { ...beside(1), right: passes(100, 250), left: passes(240) }), // centre 240: low
    trial("t2", { ...beside(2), right: passes(340), left: passes(350, "x") }), // centre 345: middle
    trial("t3", { ...beside(9, "foil"), right: passes(505) }), // high
    trial("t4", { ...beside(null), right: passes("x", "x") }), // silent
    trial("t5", { ...beside(1) }), // nothing written
    trial("c2", { ...disc, block: "B2", right: passes(300) }), // its own block's control reads low
    trial("t6", { ...beside(1), block: "B2", right: passes(205), left: passes(207) }), // iron
    trial("n1", { neighbour: "long nail", right: passes(90) }),
    trial("b1", { ...beside(1), machine: "Machine B", clean: passes(150), right: passes(-100) }),
    trial("b2", { ...beside(1), machine: "Machine B", target: "ball", right: passes(-100) }),
  ],
});

describe("cleanByTogether()", () => {
  const [a, b] = cleanByTogether(garden);
  test("never pools two machines", () => {
    expect(cleanByTogether(garden).map(({ of }) => of)).toEqual([
      { machine: "Machine A", discrimination: "none" },
      { machine: "Machine B", discrimination: "none" },
    ]);
  });
  test("counts trials by the band of their centre, silent ones in a column of their own", () => {
    expect(a!.trials.rows).toEqual(["iron", "low", "middle", "high", "silent"]);
    expect(a!.trials.counts).toEqual([
      [0, 0, 0, 0, 0],
      [1, 0, 0, 0, 0],
      [0, 0, 0, 0, 0],
      [0, 1, 1, 1, 1],
      [0, 0, 0, 0, 0],
    ]);
    expect(a!.leftOut).toEqual({ "no clean reading": 0, "no reading together": 1 });
  });
  test("counts passes apart from trials", () => {
    // t1 100 | 250 240; t2 340 350 x; t3 505; t4 x x; t6 205 207 under the other block's control
    expect(a!.passes.unit).toBe("passes");
    expect(a!.passes.counts[3]).toEqual([1, 2, 2, 1, 3]);
    expect(a!.passes.counts[1]).toEqual([2, 0, 0, 0, 0]);
  });
  test("splits by gap class, an edge belonging to the wider class, and names gaps nobody logged", () => {
    expect(a!.byGap.map(({ gap, table }) => [gap, table.n])).toEqual([
      ["under 2 cm", 2],
      ["2 to under 4 cm", 1],
      ["8 cm or more", 1],
      ["gap not logged", 1],
    ]);
    expect(a!.byGap.reduce((sum, { table }) => sum + table.n, 0)).toBe(a!.trials.n);
    expect(a!.byNeighbour.map(({ neighbour, table }) => [neighbour, table.n])).toEqual([["foil", 1], [
      "long nail",
      4,
    ]]);
    expect(a!.byNeighbour[0]!.table.of).toEqual({
      machine: "Machine A",
      discrimination: "none",
      neighbour: "foil",
    });
  });
  test("splits by the side on which the neighbour lay", () => {
    const sided = cleanByTogether({
      ...garden,
      trials: garden.trials.map((one) => ({
        ...one,
        side: one.trial_id === "t1" ? "left" as const : one.trial_id === "t2" ? "over" as const : null,
      })),
    });
    expect(sided[0]!.bySide.map(({ side, table }) => [side, table.n])).toEqual([["left", 1], ["over", 1], [
      "side not logged",
      3,
    ]]);
  });
  test("takes the row's own clean reading where there is no control, and says so", () => {
    expect(a!.cleanFrom).toEqual([{ from: "same block", trials: 5 }]);
    expect(b!.cleanFrom).toEqual([{ from: "written on the row", trials: 1 }]);
    expect(b!.trials.counts).toEqual([[0, 0, 0], [1, 0, 0], [0, 0, 0]]);
    expect(b!.leftOut["no clean reading"]).toBe(1);
  });
  test("takes controls of other blocks where every trial is its own block", () => {
    const lone = cleanByTogether({
      ...garden,
      trials: [
        trial("c", { ...disc, block: "1", right: passes(500) }),
        trial("t", { ...beside(1), block: "2", right: passes(100) }),
      ],
    });
    expect(lone[0]!.cleanFrom).toEqual([{ from: "other blocks", trials: 1 }]);
    expect(lone[0]!.trials.counts[3]![0]).toBe(1);
  });
  test("does not take a control at another depth", () => {
    const other = cleanByTogether({
      ...garden,
      trials: [
        trial("c", { ...disc, depth_cm: 20, right: passes(500) }),
        trial("t", { ...beside(1), right: passes(100) }),
      ],
    });
    expect(other[0]!.trials.n).toBe(0);
    expect(other[0]!.leftOut["no clean reading"]).toBe(1);
  });
  test("gives shares with intervals and a typed absence for a row without a count", () => {
    expect(a!.trials.shares[3]![0]).toMatchObject({ value: 0, n: { trials: 4 } });
    expect(a!.trials.shares[2]![0]).toMatchObject({ absent: "no cases" });
  });
  test("hears with another scheme when asked", () => {
    const one = {
      name: "one",
      kind: "bands" as const,
      breaks: [],
      bands: [{ name: "any", pitch_hz: 440, loudness: 1 }],
    };
    const tables = cleanByTogether(garden, { schemes: { "Machine A": one } });
    expect(tables[0]!.trials.counts).toEqual([[4, 1], [0, 0]]);
    expect(tables[0]!.agreement.kappa).toMatchObject({
      absent: "undefined",
      reason: "Kappa does not exist where everything lies in one band",
    });
  });
  test("refuses a machine that nobody described", () => {
    expect(() => cleanByTogether({ ...garden, machines: [machineB] })).toThrow(
      new RangeError('Cannot give bands: machine must be in the machines list, got "Machine A"'),
    );
  });
});
