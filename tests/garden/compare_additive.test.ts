import { describe, expect, test } from "vitest";
import { compareAdditive, driftOfTrials, simulatedGarden } from "../../lib/garden/mod.ts";
import type { Garden } from "../../lib/log/mod.ts";
import { garden } from "./_gardens.ts";

/** Two targets in the same blocks; q of a pair is given by target and neighbour. */
function twoTargets(q: readonly (readonly number[])[], seed: number): Garden {
  const gardens = q.map((own, t) => {
    const log = simulatedGarden(own.map((qCm2, k) => ({ name: `nail ${k}`, qCm2 })), {
      seed: seed + t,
      blocks: 10,
    });
    return log.trials.map((trial) => ({
      ...trial,
      trial_id: `${t}${trial.trial_id}`,
      target: trial.target === null ? null : `target ${t}`,
    }));
  });
  return garden(gardens.flat());
}

describe("compareAdditive()", () => {
  const of = (q: readonly (readonly number[])[], seed: number) =>
    compareAdditive(driftOfTrials(twoTargets(q, seed)));

  test("gives sums of a part of the target and a part of the neighbour", () => {
    const [only] = of([[80, 40, 10], [60, 20, -10]], 3);
    const at = (target: string, neighbour: string) =>
      only!.pairs.find(({ pair }) => pair.target === target && pair.neighbour === neighbour)!.additiveQCm2;
    for (const k of [1, 2]) {
      const step = (target: string) => at(target, "nail 0") - at(target, `nail ${k}`);
      expect(step("target 0")).toBeCloseTo(step("target 1"), 6);
    }
    // Made of sums: nothing to choose by.
    expect(only!.verdict).toBe("cannot tell");
    expect(at("target 0", "nail 0")).toBeGreaterThan(70);
    expect(at("target 0", "nail 0")).toBeLessThan(90);
  });

  test("is worse where the neighbours change places between the targets", () => {
    const [only] = of([[90, 20], [20, 90]], 5);
    expect(only!.verdict).toBe("additive is worse");
    if (!("value" in only!.difference)) throw new Error(only!.difference.reason);
    expect(only!.difference.value).toBeGreaterThan(5);
  });

  test("does not compare where no two targets share two neighbours", () => {
    expect(of([[60, 30]], 1)).toEqual([]);
    expect(of([[60], [30]], 1)).toEqual([]);
  });
});
