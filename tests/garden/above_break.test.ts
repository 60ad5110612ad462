import { describe, expect, test } from "vitest";
import { aboveBreak, driftOfTrials, passShareAt, simulatedGarden } from "../../lib/garden/mod.ts";
import type { Garden } from "../../lib/log/mod.ts";
import { garden, neighbourAlone, passes, silentPasses, targetAlone, trial } from "./_gardens.ts";

const of = (log: Garden) => aboveBreak(log, driftOfTrials(log));
const shareOf = (estimate: ReturnType<typeof of>[number]["together"]) => {
  if (!("value" in estimate)) throw new Error(estimate.reason);
  return estimate;
};
const both = (...readings: number[]) => ({ right: passes(...readings), left: passes(...readings) });

describe("aboveBreak()", () => {
  const log = simulatedGarden([{ name: "nail", qCm2: 90 }], { seed: 3, blocks: 10 });
  const [found] = of(log);

  test("rises from the neighbour's rate to the target's as the gap widens", () => {
    if (typeof found!.curve === "string") throw new Error(found!.curve);
    const at = (gap: number) => shareOf(passShareAt(found!.curve, gap, { n: found!.n }));
    expect(at(0).value).toBeLessThan(0.2);
    expect(at(12).value).toBeGreaterThan(0.8);
    for (const gap of [0, 4, 12]) {
      expect(at(gap).interval.low).toBeLessThan(at(gap).value);
      expect(at(gap).interval.high).toBeGreaterThan(at(gap).value);
    }
    // The neighbour alone reads 130, below the break of 210; the target alone 560.
    expect(shareOf(found!.neighbourAlone)).toMatchObject({ value: 0, interval: { method: "Wilson" } });
    expect(shareOf(found!.targetAlone).value).toBe(1);
  });

  test("a reading equal to the break is above it, and a silent pass is not", () => {
    const row = (id: string, gap: number, cell: ReturnType<typeof both>) =>
      trial({ trial_id: id, block: id, gap_cm: gap, ...cell });
    const [only] = of(garden([
      row("a", 1, both(210, 209)),
      row("b", 2, { right: silentPasses, left: passes(300, 300) }),
    ]));
    expect(only!.points.map((point) => [point.hits, point.passes])).toEqual([[2, 4], [2, 4]]);
  });

  test("says so where every pass reads above, instead of drawing a curve", () => {
    const rows = [0, 1, 2, 3, 4].flatMap((b) => [
      targetAlone({ trial_id: `t${b}`, block: `B${b}`, ...both(500) }),
      neighbourAlone({ trial_id: `n${b}`, block: `B${b}`, ...both(300) }),
      trial({ trial_id: `p${b}`, block: `B${b}`, gap_cm: b, ...both(400) }),
    ]);
    const [only] = of(garden(rows));
    expect(only!.curve).toBe("Every pass did, at every gap");
    expect(shareOf(only!.neighbourAlone).value).toBe(1);
    expect(passShareAt(only!.curve, 1, { n: only!.n })).toMatchObject({ absent: "no curve" });
  });

  test("stays finite and says so where one gap tells all passes apart", () => {
    const rows = [0, 1, 2, 3, 4, 5].flatMap((b) =>
      [0, 2, 4, 6].map((gap) =>
        trial({ trial_id: `p${b}-${gap}`, block: `B${b}`, gap_cm: gap, ...both(gap < 3 ? 100 : 500) })
      )
    );
    const [only] = of(garden(rows));
    if (typeof only!.curve === "string") throw new Error(only!.curve);
    expect(only!.curve.separated).toBe(true);
    expect(Number.isFinite(only!.curve.perCm)).toBe(true);
    expect(-only!.curve.intercept / only!.curve.perCm).toBeCloseTo(3, 1);
  });

  test("gives the step over the bare neighbour at each gap, growing with it", () => {
    const steps = found!.steps.map((each) => shareOf(each.step).value);
    expect(steps[0]!).toBeLessThan(120);
    expect(steps.at(-1)!).toBeGreaterThan(350);
  });

  test("gives no band under four blocks", () => {
    const [few] = of(simulatedGarden([{ name: "nail", qCm2: 90 }], { seed: 3, blocks: 3 }));
    expect(passShareAt(few!.curve, 2, { n: few!.n })).toMatchObject({
      absent: "too few blocks",
      reason: "An interval needs 4 blocks, got 3",
    });
  });

  test("passShareAt() refuses a gap below 0", () => {
    expect(() => passShareAt("none", -1, { n: {} })).toThrow(
      new RangeError("Cannot give a share of passes: gap must be finite and 0 or above, got -1"),
    );
  });
});
