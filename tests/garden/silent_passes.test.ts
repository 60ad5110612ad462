import { describe, expect, test } from "vitest";
import {
  driftOfTrials,
  fitDragCurves,
  passShareAt,
  silentPasses,
  simulatedGarden,
} from "../../lib/garden/mod.ts";
import type { Garden, Trial } from "../../lib/log/mod.ts";
import { silentPasses as silence } from "./_gardens.ts";

const of = (log: Garden) => {
  const drift = driftOfTrials(log), curves = fitDragCurves(drift);
  return { found: silentPasses(log, { drift, curves })[0]!, curve: curves[0]! };
};
const log = simulatedGarden([{ name: "nail", qCm2: 60 }], { seed: 5, blocks: 8 });
const silenced = (when: (trial: Trial, i: number) => boolean): Garden => ({
  ...log,
  trials: log.trials.map((each, i) =>
    each.gap_cm !== null && when(each, i) ? { ...each, right: silence, left: silence } : each
  ),
});

describe("silentPasses()", () => {
  test("says that nothing was silent, and gives the one half gap", () => {
    const { found, curve } = of(log);
    expect(found).toMatchObject({ differ: "no silence", silent: 0, curve: "No pass did, at any gap" });
    expect(found.asNeighbour).toBe(curve.halfGapCm);
  });

  test("with every third trial silent at all gaps the half gap as neighbour lies further out, and is said to differ", () => {
    const { found } = of(silenced((_, i) => i % 3 === 0));
    if (!("value" in found.leftOut) || !("value" in found.asNeighbour)) throw new Error("expected both");
    expect(found.asNeighbour.value).toBeGreaterThan(found.leftOut.value);
    expect(found.silentReadings).toBeGreaterThan(20);
    expect(found.differ).toBe(
      found.asNeighbour.value > found.leftOut.interval.high ? "yes" : "no",
    );
  });

  test("silence close by, where drag is near 1 anyway, hardly moves the half gap", () => {
    const { found } = of(silenced((each, i) => each.gap_cm! <= 1 && i % 2 === 0));
    expect(found.differ).toBe("no");
    if (typeof found.curve === "string") throw new Error(found.curve);
    expect(found.curve.perCm).toBeLessThan(0);
    expect(passShareAt(found.curve, 0, { n: found.n })).toHaveProperty("value");
  });
});
