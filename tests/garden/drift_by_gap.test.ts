import { describe, expect, test } from "vitest";
import { driftByGap, driftOfTrials } from "../../lib/garden/mod.ts";
import { garden, neighbourAlone, passes, targetAlone, trial } from "./_gardens.ts";

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
