import { describe, expect, test } from "vitest";
import {
  clearGap,
  driftByGap,
  driftOfTrials,
  fitDragCurves,
  fittedDrift,
  predictDrag,
  readingTolerance,
} from "../../lib/garden/mod.ts";
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

describe("driftByGap()", () => {
  test("averages trials within a block first, and takes Student's t over block means", () => {
    const log = garden([...block("A", 400, 420), ...block("B", 380), ...block("C", 430)]);
    const [at] = driftByGap(driftOfTrials(log));
    // By hand: block means 90, 120, 70; mean 93.333, sd 25.166, t(0.975, 2) = 4.302653 (R: qt(0.975, 2)), half 62.517.
    expect(at!.drift).toMatchObject({ n: { trials: 4, blocks: 3 } });
    const drift = at!.drift as { value: number; interval: { low: number; high: number; method: string } };
    expect(drift.value).toBeCloseTo(93.3333, 4);
    expect(drift.interval.low).toBeCloseTo(93.3333 - 62.517, 2);
    expect(drift.interval.high).toBeCloseTo(93.3333 + 62.517, 2);
    expect(drift.interval.method).toBe("t over block means, 2 df");
    expect([at!.lowest, at!.highest]).toEqual([70, 120]);
  });

  test("gives no interval, and so no mean, from one block", () => {
    expect(driftByGap(driftOfTrials(garden(block("A", 400, 420))))[0]!.drift).toMatchObject({
      absent: "one block",
      n: { trials: 2, blocks: 1 },
    });
  });

  test("does not take equal readings on a stepped display for certainty", () => {
    const log = garden([...block("A", 400), ...block("B", 400), ...block("C", 400)]);
    const drift = driftByGap(driftOfTrials(log))[0]!.drift as { value: number; interval: { high: number } };
    // t(0.975, 2) = 4.302653 times step / sqrt(12 * 3) = 1/6.
    expect(drift.interval.high - drift.value).toBeCloseTo(4.302653 / 6, 6);
  });
});

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

  test("readingTolerance() is the larger of the clean repeat spread and two display steps", () => {
    const scattered = (spread: number) =>
      driftOfTrials(
        garden([
          targetAlone({ trial_id: "t", ...both(500 - spread, 500, 500 + spread, 500 + 2 * spread) }),
          ...block("B", 400),
        ]),
      );
    const tolerance = (spread: number) => {
      const found = scattered(spread);
      return readingTolerance(found, found.pairs[0]!);
    };
    expect(tolerance(0)).toBe(2);
    // Readings -s, 0, s, 2s about their median s/2, twice: quartiles (type 7) at -0.75 s and 0.75 s of the eight, pooled with the lone zeros.
    expect(tolerance(40)).toBeGreaterThan(2);
  });
});
