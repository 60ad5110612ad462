import { describe, expect, test } from "vitest";
import fc from "fast-check";
import { driftOfTrials } from "../../lib/garden/mod.ts";
import type { Trial } from "../../lib/log/mod.ts";
import {
  garden,
  neighbourAlone,
  passes,
  silentPasses,
  simulateGarden,
  targetAlone,
  trial,
} from "./_gardens.ts";

const both = (...readings: number[]) => ({ right: passes(...readings), left: passes(...readings) });

const block = (name: string, own: readonly Trial[]) => [
  targetAlone({ trial_id: `${name}-t`, block: name, ...both(500, 502, 504) }),
  neighbourAlone({ trial_id: `${name}-n`, block: name, ...both(100, 102, 104) }),
  ...own.map((each) => ({ ...each, block: name })),
];

function frozen<T>(value: T): T {
  if (typeof value === "object" && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value);
    Object.values(value).forEach(frozen);
  }
  return value;
}

describe("driftOfTrials()", () => {
  test("gives drift and drag of each direction from the controls of the same block", () => {
    const log = garden(block("B1", [
      trial({ trial_id: "T", gap_cm: 3, right: passes(300, 302, 310), left: passes(402) }),
    ]));
    const { rows, setAside, silent, counts } = driftOfTrials(frozen(log));
    expect(rows).toHaveLength(2);
    // By hand: clean 502, neighbour 102, together 302 and 402.
    expect(rows[0]).toMatchObject({
      direction: "right",
      reading: 302,
      clean: 502,
      neighbourReading: 102,
      drift: 200,
      drag: 0.5,
    });
    expect(rows[1]).toMatchObject({
      direction: "left",
      reading: 402,
      drift: 100,
      drag: 0.25,
      cleanFrom: "same block",
    });
    expect(setAside).toEqual([]);
    expect(silent).toEqual([]);
    expect(counts).toEqual({
      trials: 3,
      blocks: 1,
      together: 1,
      targetAlone: 1,
      neighbourAlone: 1,
      empty: 0,
    });
  });

  test("does not clip drags outside 0 to 1", () => {
    const log = garden(block("B1", [
      trial({ trial_id: "T", gap_cm: 3, right: passes(62), left: passes(542) }),
    ]));
    expect(driftOfTrials(log).rows.map((row) => row.drag)).toEqual([1.1, -0.1]);
  });

  test("takes a negative drift where the target reads below its neighbour, and the same drag", () => {
    const log = garden([
      targetAlone({ trial_id: "t", ...both(100) }),
      neighbourAlone({ trial_id: "n", ...both(500) }),
      trial({ trial_id: "T", gap_cm: 1, ...both(300) }),
    ]);
    expect(driftOfTrials(log).rows[0]).toMatchObject({ drift: -200, drag: 0.5 });
  });

  test("falls back to other blocks, then to the row, and marks it", () => {
    const [t1, n1] = block("B1", []) as [Trial, Trial];
    const lone = trial({ trial_id: "T", block: "B2", gap_cm: 3, ...both(302) });
    expect(driftOfTrials(garden([t1, n1, lone])).rows[0]).toMatchObject({
      cleanFrom: "other blocks",
      neighbourFrom: "other blocks",
      drag: 0.5,
    });
    const written = { ...lone, clean: passes(482), neighbourAlone: passes(82) };
    expect(driftOfTrials(garden([written])).rows[0]).toMatchObject({
      clean: 482,
      cleanFrom: "written on the row",
      neighbourFrom: "written on the row",
    });
    // A control of another block stands above what is written on the row.
    expect(driftOfTrials(garden([t1, n1, written])).rows[0]).toMatchObject({
      clean: 502,
      cleanFrom: "other blocks",
    });
  });

  test("never takes a control of another machine, setting, depth or coil height", () => {
    const [t1, n1] = block("B1", []) as [Trial, Trial];
    for (
      const other of [
        { machine: "Machine B" },
        { settings: "A-quiet" },
        { discrimination: "iron-silenced" as const },
        { depth_cm: 12 },
        { coil_height_cm: 5 },
      ]
    ) {
      const lone = trial({ trial_id: "T", gap_cm: 3, ...both(302), ...other });
      const { rows, setAside } = driftOfTrials(garden([t1, n1, lone]));
      expect(rows).toEqual([]);
      expect(setAside).toHaveLength(2);
      expect(setAside[0]!.reason).toMatch(/^The target was never read alone/);
    }
  });

  test("counts silent directions apart and never reads them as a number", () => {
    const log = garden(
      block("B1", [trial({ trial_id: "T", gap_cm: 3, right: silentPasses, left: passes(302) })]),
    );
    const { rows, silent } = driftOfTrials(log);
    expect(rows.map((row) => row.direction)).toEqual(["left"]);
    expect(silent).toMatchObject([{ trial_id: "T", direction: "right", gap_cm: 3 }]);
  });

  test("keeps the drift but no drag where clean and neighbour are too close, with the reason", () => {
    const log = garden([
      targetAlone({ trial_id: "t", ...both(300) }),
      neighbourAlone({ trial_id: "n", ...both(297) }),
      trial({ trial_id: "T", gap_cm: 1, ...both(298) }),
    ]);
    // Display step 1: nearer than twice two steps.
    expect(driftOfTrials(log).rows[0]).toMatchObject({
      drift: 2,
      drag: null,
      noDrag: "The clean reading and the neighbour's are too close to define a drag",
    });
  });

  test("sets aside what lies over or under, what has no gap, and a gap below 0", () => {
    const log = garden(block("B1", [
      trial({ trial_id: "over", gap_cm: 0, side: "over", ...both(300) }),
      trial({ trial_id: "none", gap_cm: null, ...both(300) }),
      trial({ trial_id: "minus", gap_cm: -2, ...both(300) }),
    ]));
    const { rows, setAside } = driftOfTrials(log);
    expect(rows).toEqual([]);
    expect(Object.fromEntries(setAside.map((each) => [each.trial_id, each.reason]))).toEqual({
      over: "The neighbour lay over the target: the curve is about gaps in plan",
      none: "No gap was logged",
      minus: "A gap cannot be below 0, got -2",
    });
  });

  test("sets aside a pair whose gaps look like two units, and says so", () => {
    const own = (unit: number) =>
      [1, 2, 4, 8].map((gap, i) => trial({ trial_id: `${unit}-${i}`, gap_cm: gap * unit, ...both(300) }));
    const log = garden([
      ...block("B1", own(1)),
      ...block("B2", own(10)),
      ...block("B3", own(1).map((each) => ({ ...each, trial_id: `${each.trial_id}b` }))),
    ]);
    const { rows, notes, setAside } = driftOfTrials(log);
    expect(rows).toEqual([]);
    expect(setAside).toHaveLength(12);
    expect(notes[0]).toMatch(/ten times the others, as millimetres would be/);
  });

  test("takes a blank coil height from its block, where the block agrees", () => {
    const log = garden(
      block("B1", [trial({ trial_id: "T", gap_cm: 3, coil_height_cm: null, ...both(302) })]),
    );
    const { rows, pairs } = driftOfTrials(log);
    expect(rows[0]!.cleanFrom).toBe("same block");
    expect(pairs).toHaveLength(1);
  });

  test("measures the distance between centres from radius and half thickness, along the heading", () => {
    const at = (neighbour_heading_deg: number | null) =>
      driftOfTrials(
        garden(block("B1", [trial({ trial_id: "T", gap_cm: 3, neighbour_heading_deg, ...both(302) })])),
      ).pairs[0]!;
    // Disc of 20 mm, nail 60 by 10 mm: 1 + 0.5 cm broadside, 1 + 3 cm end on.
    expect(at(90).touching_cm).toBeCloseTo(1.5, 12);
    expect(at(null).touching_cm).toBeCloseTo(1.5, 12);
    expect(at(0).touching_cm).toBeCloseTo(4, 12);
    const unknown = block("B1", [trial({ trial_id: "T", gap_cm: 3, target_size_mm: null, ...both(302) })])
      .map((each) => ({ ...each, target_size_mm: null }));
    expect(driftOfTrials(garden(unknown)).pairs[0]!.touching_cm).toBeNull();
  });

  test("keeps apart pairs that were laid otherwise, and names only what tells them apart", () => {
    const log = garden(block("B1", [
      trial({ trial_id: "1", gap_cm: 3, side: "left", ...both(302) }),
      trial({ trial_id: "2", gap_cm: 3, side: "right", ...both(302) }),
      trial({ trial_id: "3", gap_cm: 3, side: "both", neighbour_count: 2, ...both(302) }),
    ]));
    expect(driftOfTrials(log).pairs.map((pair) => [pair.of, pair.trials])).toEqual([
      [{ machine: "Machine A", target: "disc", neighbour: "nail", neighbour_count: "1", side: "beside" }, 2],
      [{ machine: "Machine A", target: "disc", neighbour: "nail", neighbour_count: "2", side: "both" }, 1],
    ]);
  });

  test("says what single-trial blocks hide", () => {
    const log = garden(block("B1", []).map((each, i) => ({ ...each, block: `trial ${i}` })));
    expect(driftOfTrials(log).notes[0]).toMatch(/^Every trial is its own block/);
  });

  test("uses cross passes for nothing", () => {
    const log = garden(block("B1", [trial({ trial_id: "T", gap_cm: 3, cross: passes(1, 2, 3) })]));
    const { rows, setAside } = driftOfTrials(log);
    expect(rows).toEqual([]);
    expect(setAside[0]!.reason).toBe("No reading was logged in either direction");
  });

  test("gives the same rows in any order of the log, and drags that do not change when all readings are stretched", () => {
    const log = simulateGarden([{ neighbour: "nail", q: 30 }], { seed: 2, blocks: 3, trialsPerBlock: 6 });
    const key = (row: { trial_id: string; direction: string }) => `${row.trial_id} ${row.direction}`;
    const usual = new Map(driftOfTrials(log).rows.map((row) => [key(row), row]));
    fc.assert(
      fc.property(fc.shuffledSubarray([...log.trials], { minLength: log.trials.length }), (trials) => {
        const rows = driftOfTrials({ ...log, trials }).rows;
        expect(rows).toHaveLength(usual.size);
        for (const row of rows) expect(row).toEqual(usual.get(key(row)));
      }),
      { numRuns: 20, seed: 1 },
    );
    fc.assert(
      fc.property(fc.integer({ min: 2, max: 9 }), fc.integer({ min: -500, max: 500 }), (factor, shift) => {
        const stretch = (each: Trial["right"]) =>
          each && { ...each, readings: each.readings.map((r) => r * factor + shift) };
        const trials = log.trials.map((each) => ({
          ...each,
          right: stretch(each.right),
          left: stretch(each.left),
        }));
        for (const row of driftOfTrials({ ...log, trials }).rows) {
          expect(row.drag).toBeCloseTo(usual.get(key(row))!.drag!, 10);
          expect(row.drift).toBeCloseTo(usual.get(key(row))!.drift * factor, 8);
        }
      }),
      { numRuns: 20, seed: 1 },
    );
  });
});
