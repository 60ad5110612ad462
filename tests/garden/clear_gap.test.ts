import { describe, expect, test } from "vitest";
import { clearGap, driftOfTrials, fitDragCurves, fittedDrift } from "../../lib/garden/mod.ts";
import type { Trial } from "../../lib/log/mod.ts";
import { simulateGarden } from "./_gardens.ts";

describe("clearGap()", () => {
  const gaps = [0, 1, 2, 4, 6, 8, 12, 16, 20, 24];
  const quiet = { pass: 1, trial: 2, block: 1 };
  const drift = driftOfTrials(
    simulateGarden([{ neighbour: "large", q: 80 }], {
      seed: 1,
      blocks: 10,
      trialsPerBlock: 14,
      gaps,
      noise: quiet,
    }),
  );
  const curve = fitDragCurves(drift)[0]!;

  test("is the first gap beyond which the drift's interval stays within the tolerance", () => {
    const clear = clearGap(drift, curve, { tolerance: 20 }) as {
      value: number;
      interval: { low: number; high: number };
    };
    const upper = (gap: number) => (fittedDrift(curve, gap) as { interval: { high: number } }).interval.high;
    expect(upper(clear.value)).toBeLessThanOrEqual(20);
    expect(upper(clear.value - 0.02)).toBeGreaterThan(20);
    for (const gap of [clear.value + 1, 20, 24]) expect(upper(gap)).toBeLessThanOrEqual(20);
    expect(clear.interval.high).toBe(clear.value);
    expect(clear.interval.low).toBeLessThan(clear.value);
  });

  test("is wider for a smaller tolerance, and 0 where even touching the drift is small enough", () => {
    const at = (tolerance: number) => (clearGap(drift, curve, { tolerance }) as { value: number }).value;
    expect(at(10)).toBeGreaterThan(at(40));
    expect(at(500)).toBe(0);
  });

  test("cannot be told where the widest gap laid still drifts, and asks for wider ones", () => {
    const nearDrift = driftOfTrials(
      simulateGarden([{ neighbour: "large", q: 80 }], { seed: 1, gaps: [0, 4, 8, 10] }),
    );
    const near = fitDragCurves(nearDrift)[0]!;
    expect(clearGap(nearDrift, near, { tolerance: 4 })).toMatchObject({
      absent: "cannot tell yet",
      reason: expect.stringMatching(
        /At the widest gap laid, 10 cm, .*Lay wider gaps next, such as 15 and 20 cm/,
      ),
    });
  });

  test("is not given against trials that still drift beyond it, also where the drift turns negative", () => {
    // Every trial from 16 cm on reads 30 units past its clean reading, which a curve between 0 and 1 cannot follow.
    const log = simulateGarden([{ neighbour: "large", q: 80 }], {
      seed: 1,
      blocks: 10,
      trialsPerBlock: 14,
      gaps,
      noise: quiet,
    });
    const push = (each: Trial): Trial =>
      (each.gap_cm ?? 0) < 16 || each.right === null || each.left === null ? each : {
        ...each,
        right: { ...each.right, readings: each.right.readings.map((r) => r + 30) },
        left: { ...each.left, readings: each.left.readings.map((r) => r + 30) },
      };
    const pushed = driftOfTrials({ ...log, trials: log.trials.map(push) });
    const clear = clearGap(pushed, fitDragCurves(pushed)[0]!, { tolerance: 20 });
    expect(clear).toMatchObject({
      absent: "cannot tell yet",
      reason: expect.stringMatching(
        /^The curve calls .* clear, but the trials laid that wide or wider drift by -/,
      ),
    });
  });

  test("cannot be told for a machine that is not described and a target read once", () => {
    const bare = { ...drift, cleanSpread: new Map<string, number>() };
    const unknown = { ...curve, pair: { ...curve.pair, step: null } };
    expect(clearGap(bare, unknown)).toMatchObject({
      absent: "cannot tell yet",
      reason: expect.stringMatching(/^Neither/),
    });
  });

  test("refuses a tolerance of 0", () => {
    expect(() => clearGap(drift, curve, { tolerance: 0 })).toThrow(
      new RangeError("Cannot find clear gap: tolerance must be finite and above 0, got 0"),
    );
  });
});
