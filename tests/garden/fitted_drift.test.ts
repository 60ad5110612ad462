import { describe, expect, test } from "vitest";
import { driftOfTrials, fitDragCurves, fittedDrift, predictDrag } from "../../lib/garden/mod.ts";
import { garden, neighbourAlone, passes, simulateGarden, targetAlone, trial } from "./_gardens.ts";

const both = (...readings: number[]) => ({ right: passes(...readings), left: passes(...readings) });

function block(name: string, ...together: readonly number[]) {
  return [
    targetAlone({ trial_id: `${name}t`, block: name, ...both(500) }),
    neighbourAlone({ trial_id: `${name}n`, block: name, ...both(100) }),
    ...together.map((reading, i) =>
      trial({ trial_id: `${name}${i}`, block: name, gap_cm: 2, ...both(reading) })
    ),
  ];
}

describe("fittedDrift() and predictDrag()", () => {
  const log = simulateGarden([{ neighbour: "large", q: 80 }], { seed: 1, blocks: 8 });
  const curve = fitDragCurves(driftOfTrials(log))[0]!;

  test("fall towards 0 as the gap widens, with the estimate inside its interval", () => {
    const drifts = [0, 2, 4, 8, 12].map((gap) =>
      fittedDrift(curve, gap) as { value: number; interval: { low: number; high: number } }
    );
    drifts.forEach((at, i) => {
      expect(at.interval.low).toBeLessThan(at.value);
      expect(at.interval.high).toBeGreaterThan(at.value);
      if (i > 0) expect(at.value).toBeLessThan(drifts[i - 1]!.value);
    });
  });

  test("are drag times what lies between the two readings alone", () => {
    const at = fittedDrift(curve, 3) as { value: number };
    expect(at.value).toBeCloseTo(predictDrag(curve, [3])[0]!.drag * curve.apart!, 12);
  });

  test("refuse a gap below 0", () => {
    expect(() => predictDrag(curve, [-1])).toThrow(
      new RangeError("Cannot predict drag: gaps must be finite and 0 or above, got -1"),
    );
  });

  test("are absent without a curve, with the curve's own reason", () => {
    const bare = fitDragCurves(driftOfTrials(garden(block("A", 400))))[0]!;
    expect(predictDrag(bare, [2])).toEqual([]);
    expect(fittedDrift(bare, 2)).toMatchObject({
      absent: "no curve",
      reason: expect.stringMatching(/needs 4 distinct gaps/),
    });
  });
});
