import { describe, expect, test } from "vitest";
import { driftOfTrials, fitDragCurves, localDrift } from "../../lib/garden/mod.ts";
import type { Trial } from "../../lib/log/mod.ts";
import { closedFormDrag } from "../../lib/virtual/closed_form_drag.ts";
import { garden, simulateGarden, w2 } from "./_gardens.ts";

const laid = [{ neighbour: "large", q: 80 }];
const of = (log: Parameters<typeof driftOfTrials>[0]) => {
  const drift = driftOfTrials(log);
  return localDrift(drift, fitDragCurves(drift)[0]!);
};
const valued = (each: ReturnType<typeof of>[number]) => {
  if (!("value" in each.drift)) throw new Error(`no drift at ${each.gap_cm}: ${each.drift.reason}`);
  return each.drift;
};

describe("localDrift()", () => {
  test("covers the true drift of the closed form about as often as promised", () => {
    let covered = 0, all = 0;
    for (let replicate = 0; replicate < 40; replicate++) {
      for (const each of of(simulateGarden(laid, { seed: 5, replicate, blocks: 8, trialsPerBlock: 12 }))) {
        if (!("value" in each.drift)) continue;
        // Clean 560, neighbour 130, phase difference 130 degrees: the simulated garden's own numbers.
        const truth = 430 * closedFormDrag(2 ** ((80 - (each.gap_cm + 1.5) ** 2) / w2), 130);
        all++;
        if (each.drift.interval.low <= truth && truth <= each.drift.interval.high) covered++;
      }
    }
    // About 400 intervals, ten a garden that share controls: 95 % less what that dependence allows.
    expect(all).toBeGreaterThan(380);
    expect(covered / all).toBeGreaterThan(0.9);
    expect(covered / all).toBeLessThan(0.995);
  });

  test("follows the trials where the curve cannot: a reading pushed past its clean value gives a negative drift", () => {
    const log = simulateGarden(laid, {
      seed: 1,
      blocks: 8,
      trialsPerBlock: 12,
      gaps: [0, 2, 4, 6, 8, 10, 20],
      noise: { pass: 1, trial: 2, block: 1 },
    });
    const push = (each: Trial): Trial =>
      each.gap_cm !== 20 || each.right === null || each.left === null ? each : {
        ...each,
        right: { ...each.right, readings: each.right.readings.map((r) => r + 30) },
        left: { ...each.left, readings: each.left.readings.map((r) => r + 30) },
      };
    const widest = valued(of({ ...log, trials: log.trials.map(push) }).at(-1)!);
    expect(widest.value).toBeLessThan(-20);
    expect(widest.interval.high).toBeLessThan(0);
  });

  test("takes no gap further off than 2 cm or half of the gap, and is absent with fewer than four blocks near", () => {
    const far = of(simulateGarden(laid, { seed: 1, blocks: 12, trialsPerBlock: 12 }));
    for (const each of far) {
      for (const gap of each.from_cm) {
        expect(Math.abs(gap - each.gap_cm)).toBeLessThanOrEqual(Math.max(2, each.gap_cm / 2));
      }
    }
    const log = simulateGarden(laid, { seed: 1, blocks: 8, trialsPerBlock: 12 });
    const first = log.trials.find((each) => each.gap_cm !== null)!;
    const lone = { ...first, trial_id: "lone", gap_cm: 60 };
    expect(of({ ...log, trials: [...log.trials, lone] }).at(-1)).toMatchObject({
      gap_cm: 60,
      drift: { absent: "too few blocks", reason: "An interval needs 4 blocks near this gap, got 1" },
    });
  });

  test("is empty without a curve", () => {
    const drift = driftOfTrials(
      garden(simulateGarden(laid, { seed: 1, blocks: 1, trialsPerBlock: 2 }).trials),
    );
    expect(localDrift(drift, fitDragCurves(drift)[0]!)).toEqual([]);
  });
});
