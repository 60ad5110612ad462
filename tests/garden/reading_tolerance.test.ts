import { describe, expect, test } from "vitest";
import { driftOfTrials, readingTolerance } from "../../lib/garden/mod.ts";
import { garden, passes, targetAlone, trial } from "./_gardens.ts";

describe("readingTolerance()", () => {
  const found = (right: readonly number[], left: readonly number[]) => {
    const drift = driftOfTrials(garden([
      targetAlone({ trial_id: "t", right: passes(...right), left: passes(...left) }),
      trial({ trial_id: "T", gap_cm: 2, right: passes(400), left: passes(400) }),
    ]));
    return readingTolerance(drift, drift.pairs[0]!);
  };

  test("is two display steps where the target alone hardly scatters, or was read too few times", () => {
    expect(found([500, 500, 500], [501, 501, 501])).toBe(2);
    expect(found([480, 520], [500])).toBe(2);
  });

  test("is the spread of the target alone about each direction's median, once larger", () => {
    // Residuals by hand: right -20, 0, 10 about 500; left -10, 0, 30 about 520. Sorted -20 -10 0 0 10 30; quartiles of type 7
    // (R: quantile(c(-20,-10,0,0,10,30), c(.25,.75))) -7.5 and 7.5.
    expect(found([480, 500, 510], [510, 520, 550])).toBe(15);
  });

  test("is 0 for a machine that is not described and a target read once", () => {
    const drift = driftOfTrials({
      ...garden([trial({ trial_id: "T", gap_cm: 2, right: passes(400) })]),
      machines: [],
    });
    expect(readingTolerance(drift, drift.pairs[0]!)).toBe(0);
  });
});
