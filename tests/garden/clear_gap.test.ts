import { describe, expect, test } from "vitest";
import { clearGap, driftOfTrials, fitDragCurves, fittedDrift } from "../../lib/garden/mod.ts";
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
    const clear = clearGap(curve, 20) as { value: number; interval: { low: number; high: number } };
    const upper = (gap: number) => (fittedDrift(curve, gap) as { interval: { high: number } }).interval.high;
    expect(upper(clear.value)).toBeLessThanOrEqual(20);
    expect(upper(clear.value - 0.02)).toBeGreaterThan(20);
    for (const gap of [clear.value + 1, 20, 24]) expect(upper(gap)).toBeLessThanOrEqual(20);
    expect(clear.interval.high).toBe(clear.value);
    expect(clear.interval.low).toBeLessThan(clear.value);
  });

  test("is wider for a smaller tolerance, and 0 where even touching the drift is small enough", () => {
    const at = (tolerance: number) => (clearGap(curve, tolerance) as { value: number }).value;
    expect(at(10)).toBeGreaterThan(at(40));
    expect(at(500)).toBe(0);
  });

  test("cannot be told where the widest gap laid still drifts, and asks for wider ones", () => {
    const near = fitDragCurves(
      driftOfTrials(simulateGarden([{ neighbour: "large", q: 80 }], { seed: 1, gaps: [0, 4, 8, 10] })),
    )[0]!;
    expect(clearGap(near, 4)).toMatchObject({
      absent: "cannot tell yet",
      reason: expect.stringMatching(
        /At the widest gap laid, 10 cm, .*Lay wider gaps next, such as 15 and 20 cm/,
      ),
    });
  });

  test("refuses a tolerance of 0", () => {
    expect(() => clearGap(curve, 0)).toThrow(
      new RangeError("Cannot find clear gap: tolerance must be finite and above 0, got 0"),
    );
  });
});
