import { describe, expect, test } from "vitest";
import { formErrorShare, stretchForBias } from "../../lib/garden/_form_error.ts";
import { driftOfTrials, fitDragCurves } from "../../lib/garden/mod.ts";
import { physicsGarden } from "../../lib/garden/_physics_garden.ts";

describe("formErrorShare", () => {
  test("holds what the form does to four of five noiseless gardens of physics", () => {
    const shares = Array.from({ length: 10 }, (_, replicate) => {
      const { garden, pairs } = physicsGarden({
        seed: 3,
        replicate,
        blocks: 14,
        trialsPerBlock: 13,
        noiseless: true,
      });
      const { name, halfGapCm } = pairs[0]!;
      const curve = fitDragCurves(driftOfTrials(garden)).find((each) => each.pair.neighbour === name)!;
      const truth = ((halfGapCm as number) + curve.touching_cm) ** 2;
      return Math.abs(curve.fit!.qCm2 - truth) / curve.fit!.sCm2;
    });
    expect(shares.every((share) => share < 2 * formErrorShare)).toBe(true);
    // Of 10 with a chance of 0.8 each, fewer than 6 would come once in 30 times; the seed is fixed.
    expect(shares.filter((share) => share <= formErrorShare).length).toBeGreaterThanOrEqual(6);
    // Nor is it far more than is needed.
    expect(Math.max(...shares)).toBeGreaterThan(formErrorShare / 2);
  });
});

describe("stretchForBias()", () => {
  test("is 1 without bias, and the published critical values over 1.96 with it", () => {
    expect(stretchForBias(0)).toBeCloseTo(1, 9);
    // Critical values at 95 % for a bias of 0.5, 1 and 2 standard errors: 2.18, 2.65, 3.65 (Armstrong and Kolesár 2018, table 1, from memory;
    // for large bias 1.645 + bias).
    expect(stretchForBias(0.5) * 1.959964).toBeCloseTo(2.18, 2);
    expect(stretchForBias(1) * 1.959964).toBeCloseTo(2.65, 2);
    expect(stretchForBias(2) * 1.959964).toBeCloseTo(3.645, 2);
    expect(stretchForBias(5) * 1.959964).toBeCloseTo(6.645, 2);
  });
});
