import { describe, expect, test } from "vitest";
import {
  aboveBreak,
  bootstrapHalfGaps,
  compareAdditive,
  compareForms,
  compareHalfGaps,
  driftOfTrials,
  fitDragCurves,
  halfGapsOfKind,
  nextTrials,
  silentPasses,
} from "../../lib/garden/mod.ts";
import type { Garden } from "../../lib/log/mod.ts";
import { bad, change, full, turned } from "./_bad_gardens.ts";

describe("gardens that cannot carry a curve", () => {
  for (const [name, garden] of Object.entries(bad)) {
    test(`${name}: every part answers, with reasons and without NaN`, () => {
      const drift = driftOfTrials(garden), curves = fitDragCurves(drift);
      const all = [
        curves,
        compareForms(drift),
        compareAdditive(drift),
        aboveBreak(garden, drift),
        silentPasses(garden, { drift, curves }),
        halfGapsOfKind(curves),
        nextTrials(drift, { curves }),
        bootstrapHalfGaps(drift, { replicates: 100 }),
        ...(["machine", "settings", "coil", "side", "order"] as const).map((by) =>
          compareHalfGaps(garden, { drift, by })
        ),
      ];
      // JSON writes NaN and Infinity as null: so each is looked for before it is written.
      JSON.stringify(all, (key, value) => {
        if (typeof value === "number" && !Number.isFinite(value)) throw new Error(`${key} is ${value}`);
        if (key === "reason") expect(value.length).toBeGreaterThan(10);
        return value;
      });
      for (const curve of curves) {
        if ("absent" in curve.halfGapCm && curve.halfGapCm.absent === "cannot tell yet") {
          expect(curve.layNext).toMatch(/^(Lay|Pick|Write)/);
        }
      }
    });
  }

  test("none gives a half gap without controls, with one gap, with silence, with two units, below 0, or from three trials", () => {
    const without = [
      "no control trials",
      "no target alone",
      "one gap only",
      "all readings silent",
      "everything silent",
      "gaps in two units",
      "negative gaps",
      "three trials in all",
    ];
    for (const name of without) {
      const curves = fitDragCurves(driftOfTrials(bad[name]!));
      expect(curves.length, name).toBeGreaterThan(0);
      for (const curve of curves) {
        expect("absent" in curve.halfGapCm, name).toBe(true);
        expect(curve.fit, name).toBeNull();
      }
    }
  });

  test("a target that reads below its neighbour has the half gap of its mirror image", () => {
    const mirrored = change((trial) => ({ right: turned(trial.right), left: turned(trial.left) }));
    const half = (garden: Garden) => fitDragCurves(driftOfTrials(garden)).map((curve) => curve.halfGapCm);
    const plain = half(full), turnedRound = half(mirrored);
    plain.forEach((estimate, i) => {
      const other = turnedRound[i]!;
      if (!("value" in estimate) || !("value" in other)) throw new Error("expected both");
      expect(other.value).toBeCloseTo(estimate.value, 6);
      expect(other.interval.low).toBeCloseTo(estimate.interval.low, 6);
    });
    expect(driftOfTrials(mirrored).rows.some((row) => row.drift < -100)).toBe(true);
  });
});
