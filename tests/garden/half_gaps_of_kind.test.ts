import { describe, expect, test } from "vitest";
import { driftOfTrials, fitDragCurves, halfGapsOfKind, simulatedGarden } from "../../lib/garden/mod.ts";

describe("halfGapsOfKind()", () => {
  const curves = fitDragCurves(driftOfTrials(simulatedGarden(
    [{ name: "long", qCm2: 90 }, { name: "short", qCm2: 25 }, { name: "tack", qCm2: -60 }],
    { seed: 4, blocks: 10, trialsPerBlock: 16 },
  )));

  test("gives the range over the nails, the widest single interval, and how many never have one", () => {
    const [nails, ...rest] = halfGapsOfKind(curves);
    expect(rest).toEqual([]);
    expect(nails).toMatchObject({
      machine: "Machine A",
      target: "disc",
      kind: "nail",
      pairs: 3,
      never: 1,
      cannotTell: 0,
    });
    const known = curves.flatMap((curve) => "value" in curve.halfGapCm ? [curve.halfGapCm] : []);
    expect(nails!.range!.lowest.value).toBe(Math.min(...known.map((each) => each.value)));
    expect(nails!.range!.highest.value).toBe(Math.max(...known.map((each) => each.value)));
    // Half gaps 3.5 and 8 cm by the truth: far further apart than either is uncertain.
    expect(nails!.range!.highest.value - nails!.range!.lowest.value).toBeGreaterThan(
      2 * nails!.widestIntervalCm!,
    );
  });

  test("leaves out kinds laid in one form only, and pairs without a kind", () => {
    expect(halfGapsOfKind(curves.slice(0, 1))).toEqual([]);
    expect(halfGapsOfKind(curves.map((curve) => ({ ...curve, pair: { ...curve.pair, kind: null } }))))
      .toEqual([]);
  });
});
