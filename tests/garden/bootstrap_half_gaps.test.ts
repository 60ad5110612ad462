import { describe, expect, test } from "vitest";
import { bootstrapHalfGaps, driftOfTrials, fitDragCurves, simulatedGarden } from "../../lib/garden/mod.ts";

const value = (estimate: ReturnType<typeof bootstrapHalfGaps>[number]["qCm2"]) => {
  if (!("value" in estimate)) throw new Error(estimate.reason);
  return estimate;
};

describe("bootstrapHalfGaps()", () => {
  const drift = driftOfTrials(
    simulatedGarden([{ name: "large", qCm2: 70 }, { name: "foil", qCm2: -40 }], { seed: 2, blocks: 32 }),
  );
  const found = bootstrapHalfGaps(drift, { replicates: 400 });

  test("lies close to the interval of the curve from 30 blocks on, and is no wider than one and a half of it", () => {
    const curve = fitDragCurves(drift).find((each) => each.pair.neighbour === "large")!;
    const own = value(found.find((each) => each.pair.neighbour === "large")!.qCm2), other = value(curve.qCm2);
    const width = (each: typeof own) => each.interval.high - each.interval.low;
    expect(Math.abs(own.value - other.value)).toBeLessThan(width(other) / 2);
    expect(width(own) / width(other)).toBeGreaterThan(0.6);
    expect(width(own) / width(other)).toBeLessThan(1.5);
    expect(own.interval.method).toBe("BCa bootstrap of whole blocks, 400 resamples");
  });

  test("gives no half gap where q lies below the touching distance", () => {
    const foil = found.find((each) => each.pair.neighbour === "foil")!;
    expect(value(foil.qCm2).value).toBeLessThan(0);
    expect(foil.halfGapCm).toMatchObject({ absent: "cannot tell yet" });
  });

  test("is absent under 30 blocks", () => {
    const few = bootstrapHalfGaps(
      driftOfTrials(simulatedGarden([{ name: "a", qCm2: 40 }], { seed: 1, blocks: 29 })),
    );
    expect(few[0]!.qCm2).toMatchObject({
      absent: "too few blocks",
      reason: "A bootstrap needs 30 blocks, this pair has 29",
    });
  });
});
