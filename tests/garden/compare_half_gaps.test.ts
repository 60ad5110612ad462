import { describe, expect, test } from "vitest";
import {
  compareHalfGaps,
  driftOfTrials,
  simulatedGarden,
  type SimulatedGardenOptions,
} from "../../lib/garden/mod.ts";
import type { Garden } from "../../lib/log/mod.ts";

const make = (qCm2: number, options: SimulatedGardenOptions): Garden =>
  simulatedGarden([{ name: "nail", qCm2 }], options);

/** Two gardens laid in the same blocks, one under each settings name. */
function twoSettings(first: number, second: number, seed: number): Garden {
  const a = make(first, { seed, blocks: 6, trialsPerBlock: 12 });
  const b = make(second, { seed: seed + 100, blocks: 6, trialsPerBlock: 12 });
  return {
    ...a,
    trials: [
      ...a.trials,
      ...b.trials.map((trial) => ({ ...trial, trial_id: `b${trial.trial_id}`, settings: "A-small" })),
    ],
  };
}
const of = (garden: Garden, by: Parameters<typeof compareHalfGaps>[1]["by"]) =>
  compareHalfGaps(garden, { drift: driftOfTrials(garden), by });

describe("compareHalfGaps()", () => {
  test("finds the difference of two settings that differ, and tells it by labels dealt anew within blocks", () => {
    const [only, ...rest] = of(twoSettings(90, 40, 3), "settings");
    expect(rest).toEqual([]);
    expect(only!.levels).toEqual(["A-open", "A-small"]);
    if (!("value" in only!.differenceCm) || "absent" in only!.test) throw new Error("expected both");
    const truth = Math.sqrt(40) - Math.sqrt(90);
    expect(only!.differenceCm.interval.low).toBeLessThan(truth);
    expect(only!.differenceCm.interval.high).toBeGreaterThan(truth);
    expect(only!.differenceCm.interval.high).toBeLessThan(0);
    expect(only!.test.p).toBeLessThan(0.01);
    expect(only!.test.blocks).toBe(6);
    expect(only!.n["blocks with both"]).toBe(6);
    expect(only!.of).toEqual({ machine: "Machine A", target: "disc", neighbour: "nail" });
  });

  test("holds its level and covers 0 where nothing differs", () => {
    let small = 0, covered = 0;
    const runs = 40;
    for (let seed = 0; seed < runs; seed++) {
      const [side] = of(make(60, { seed: 20 + seed, blocks: 6, trialsPerBlock: 14 }), "side");
      if ("absent" in side!.test || !("value" in side!.qDifferenceCm2)) throw new Error("expected both");
      if (side!.test.p <= 0.05) small++;
      if (side!.qDifferenceCm2.interval.low <= 0 && side!.qDifferenceCm2.interval.high >= 0) covered++;
    }
    // 40 runs at 5 %: more than 6 would come once in 100 times; fewer than 34 covering likewise.
    expect(small).toBeLessThanOrEqual(6);
    expect(covered).toBeGreaterThanOrEqual(34);
  });

  test("tests the order in which the coil meets the two, trial by trial", () => {
    const plain = make(60, { seed: 9, blocks: 6, trialsPerBlock: 12 });
    // The neighbour first: 40 reading units lower.
    const pushed: Garden = {
      ...plain,
      trials: plain.trials.map((trial) => {
        if (trial.gap_cm === null) return trial;
        const first = trial.side === "left" ? "right" as const : "left" as const;
        const cell = trial[first]!;
        return { ...trial, [first]: { ...cell, readings: cell.readings.map((reading) => reading - 40) } };
      }),
    };
    const [with40] = of(pushed, "order"), [none] = of(plain, "order");
    if ("absent" in with40!.test || "absent" in none!.test) throw new Error("expected tests");
    expect(with40!.levels).toEqual(["neighbour first", "target first"]);
    expect(with40!.test.p).toBeLessThan(0.001);
    expect(none!.test.p).toBeGreaterThan(0.01);
    if (!("value" in with40!.differenceCm)) throw new Error(with40!.differenceCm.reason);
    expect(with40!.differenceCm.value).toBeLessThan(0);
  });

  test("prints the smallest p that two blocks of one trial each could give", () => {
    const garden = twoSettings(60, 60, 5);
    const few: Garden = {
      ...garden,
      trials: garden.trials.filter((trial) => trial.gap_cm === null || ["B1", "B2"].includes(trial.block)),
    };
    const one = (block: string, settings: string) =>
      few.trials.filter((trial) =>
        trial.gap_cm !== null && trial.block === block && trial.settings === settings
      )
        .slice(0, 2);
    const kept = ["B1", "B2"].flatMap((block) =>
      ["A-open", "A-small"].flatMap((settings) => one(block, settings))
    );
    const [only] = of(
      { ...few, trials: [...few.trials.filter((trial) => trial.gap_cm === null), ...kept] },
      "settings",
    );
    expect(only!.differenceCm).toHaveProperty("absent");
    if ("absent" in only!.test) return expect(only!.test.absent).toBe("too few gaps");
    // Two of four trials in each of two blocks: 6 x 6 assignments, each with its mirror image.
    expect(only!.test).toMatchObject({ assignments: 36, exact: true, smallestP: 2 / 36 });
  });

  test("gives no test where no block holds both, and no row where one level stands alone", () => {
    const garden = twoSettings(60, 60, 5);
    const apart: Garden = {
      ...garden,
      trials: garden.trials.map((trial) =>
        trial.settings === "A-small" ? { ...trial, block: `${trial.block}s` } : trial
      ),
    };
    expect(of(apart, "settings")[0]!.test).toMatchObject({ absent: "no block with both" });
    expect(of(garden, "machine")).toEqual([]);
  });
});
