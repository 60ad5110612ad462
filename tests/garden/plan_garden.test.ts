import { describe, expect, test } from "vitest";
import {
  driftOfTrials,
  fitDragCurves,
  nextTrials,
  PLAN_FIELDS,
  planGarden,
  type PlanGardenOptions,
  simulatedGarden,
} from "../../lib/garden/mod.ts";
import { loadGardenLog, parseMachines } from "../../lib/log/mod.ts";
import { logCsv } from "../../lib/virtual/mod.ts";

const base: PlanGardenOptions = {
  targets: [{ name: "copper disc", sizeMm: 24 }],
  neighbours: [
    { name: "medium nail", kind: "nail", lengthMm: 80, thicknessMm: 5 },
    { name: "folded foil", kind: "foil", lengthMm: 20, thicknessMm: 0.12, expectedHalfGapCm: -1 },
  ],
  settings: "A-open",
  gardens: 6,
};

describe("planGarden()", () => {
  const plan = planGarden(base);

  test("holds every target and every neighbour alone in each block, and every gap of a pair about as often", () => {
    expect(plan.trials.length).toBe(plan.blocks * plan.trialsPerBlock);
    for (let b = 1; b <= plan.blocks; b++) {
      const own = plan.trials.filter((trial) => trial.block === `B${String(b).padStart(2, "0")}`);
      expect(own.filter((trial) => trial.neighbour === "none").map((trial) => trial.target)).toEqual([
        "copper disc",
      ]);
      expect(own.filter((trial) => trial.target === "none").map((trial) => trial.neighbour).sort())
        .toEqual(["folded foil", "medium nail"]);
      expect(own.map((trial) => trial.run_order)).toEqual(own.map((_, i) => String(i + 1)));
    }
    const gaps = plan.trials.filter((trial) => trial.neighbour === "medium nail" && trial.gap_cm !== "");
    const counts = [...new Set(gaps.map((trial) => trial.gap_cm))].map((gap) =>
      gaps.filter((trial) => trial.gap_cm === gap).length
    );
    expect(counts.length).toBe(10);
    expect(Math.max(...counts) - Math.min(...counts)).toBeLessThanOrEqual(1);
  });

  test("is dealt by the seed alone, in another order for another seed", () => {
    expect(planGarden(base)).toEqual(plan);
    expect(planGarden({ ...base, seed: 2 }).trials).not.toEqual(plan.trials);
  });

  test("takes more blocks for a narrower interval, and says when the time is up first", () => {
    const wide = planGarden({ ...base, widthCm: 3, hours: 12 }),
      narrow = planGarden({ ...base, widthCm: 1, hours: 12 });
    expect(wide.blocks).toBeLessThan(narrow.blocks);
    expect(narrow.expected.widthCm).toBeLessThanOrEqual(1);
    const short = planGarden({ ...base, widthCm: 0.1, hours: 3 });
    expect(short.minutes).toBeLessThanOrEqual(180);
    expect(short.reason).toMatch(/^More than \d+ blocks do not fit into the time/);
  });

  test("is a log that loads as it is once filled, every row a trial; unfilled every row is planned", async () => {
    const machines = parseMachines(
      Deno.readTextFileSync(new URL("../../datasets/demo/machines.json", import.meta.url)),
    );
    const load = (trials: typeof plan.trials) =>
      loadGardenLog(
        { name: "plan.csv", bytes: new TextEncoder().encode(logCsv(PLAN_FIELDS, trials)) },
        machines,
      );
    const reading = (trial: typeof plan.trials[number]) =>
      trial.neighbour === "none"
        ? "500 501"
        : trial.target === "none"
        ? "100 101"
        : trial.gap_cm === "0"
        ? "x x"
        : "300 310";
    const filled = await load(plan.trials.map((trial) => ({
      ...trial,
      readings_right: reading(trial),
      readings_left: reading(trial),
    })));
    expect(filled.report.accounts[0]).toMatchObject({ rejected: 0, accepted: plan.trials.length });
    const drift = driftOfTrials(filled.garden);
    expect(drift.setAside).toEqual([]);
    expect(drift.rows.every((row) => row.cleanFrom === "same block" && row.neighbourFrom === "same block"))
      .toBe(true);
    const [first, ...others] = plan.trials;
    const one = await load([{ ...first!, readings_right: "500", readings_left: "500" }, ...others]);
    expect(one.report.accounts[0]).toMatchObject({ accepted: 1, planned: others.length });
  });

  test("lays spots two coil widths apart and lists what to lift", () => {
    const wide = planGarden({ ...base, coilWidthCm: 30 });
    expect(wide.spots.map((spot) => spot.alongCm)).toEqual([0, 60, 120, 180].slice(0, wide.spots.length));
    expect(wide.lift).toEqual(
      expect.arrayContaining(["copper disc", "medium nail", "folded foil", "peg 1", "spacer"]),
    );
  });

  test("refuses what cannot be laid, and says what is missing", () => {
    const fails = (options: Partial<PlanGardenOptions>, words: string) =>
      expect(() => planGarden({ ...base, ...options })).toThrow(
        new RangeError(`Cannot plan a garden: ${words}`),
      );
    fails({ gapsCm: [1, 2, 3] }, "a curve needs 4 distinct gaps, got 3");
    fails({ gapsCm: [0, 1, 2, -3] }, "gaps must be 0 or above, got -3");
    fails({ targets: [] }, "need a target and a neighbour, got 0 and 2");
    fails({ targets: [{ name: "medium nail", sizeMm: 2 }] }, 'names must differ, got "medium nail" twice');
    fails({ hours: 0 }, "hours must be above 0, got 0");
    fails({ hours: 1 }, "four blocks of 15 trials take 120 minutes, got 60; take fewer objects or more time");
  });
});

describe("nextTrials()", () => {
  const drift = driftOfTrials(
    simulatedGarden([{ name: "nail", qCm2: 60 }, { name: "foil", qCm2: -60 }], { seed: 8, blocks: 8 }),
  );
  const curves = fitDragCurves(drift);
  const found = nextTrials(drift, { curves, trials: 6 });

  test("proposes gaps where the curve is steep, and leaves out a pair that reads never", () => {
    expect(found.map((each) => each.pair.neighbour)).toEqual(["nail"]);
    // Half gap sqrt(60) - 1.5 = 6.2 cm: most is learnt a little to either side of it.
    for (const gap of found[0]!.gapsCm) expect(Math.abs(gap - 6.2)).toBeLessThan(3);
    expect(found[0]!.widthAfterCm!).toBeLessThan(found[0]!.widthNowCm!);
  });

  test("says what is missing where no curve could be fitted", () => {
    const few = driftOfTrials(
      simulatedGarden([{ name: "nail", qCm2: 60 }], { seed: 8, blocks: 5, gapsCm: [1, 3] }),
    );
    const [only] = nextTrials(few, { curves: fitDragCurves(few) });
    expect(only).toMatchObject({ gapsCm: [], widthNowCm: null });
    expect(only!.advice).toMatch(/^Lay 2 more gaps next/);
  });

  test("shrinks the interval as a garden with those trials does, within a third", () => {
    // Eight blocks more of the proposed gap, simulated: the promise is about standard errors, a simulated garden has chance in it.
    const more = nextTrials(drift, { curves, trials: 40 })[0]!;
    const again = driftOfTrials(
      simulatedGarden([{ name: "nail", qCm2: 60 }, { name: "foil", qCm2: -60 }], { seed: 8, blocks: 16 }),
    );
    const half = fitDragCurves(again).find((curve) => curve.pair.neighbour === "nail")!.halfGapCm;
    if (!("value" in half)) throw new Error(half.reason);
    const width = half.interval.high - half.interval.low;
    expect(more.widthAfterCm! / width).toBeGreaterThan(0.4);
    expect(more.widthAfterCm! / width).toBeLessThan(1.35);
  });
});
