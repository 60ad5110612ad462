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
  simulatedGarden,
} from "../../lib/garden/mod.ts";
import type { Garden, Trial } from "../../lib/log/mod.ts";
import { silentPasses as silence } from "./_gardens.ts";

const full = simulatedGarden([{ name: "large", qCm2: 60 }, { name: "small", qCm2: 20 }], {
  seed: 2,
  blocks: 6,
});
const together = (trial: Trial) => trial.target !== null && trial.neighbour !== null;
const keep = (which: (trial: Trial, i: number) => boolean): Garden => ({
  ...full,
  trials: full.trials.filter(which),
});
const change = (to: (trial: Trial) => Partial<Trial>): Garden => ({
  ...full,
  trials: full.trials.map((trial) => ({ ...trial, ...to(trial) })),
});
const turned = (cell: Trial["right"]) =>
  cell === null ? null : { ...cell, readings: cell.readings.map((reading) => 600 - reading) };

const bad: Readonly<Record<string, Garden>> = {
  "no trials": keep(() => false),
  "no control trials": keep(together),
  "no target alone": keep((trial) => trial.neighbour !== null),
  "one gap only": keep((trial) => !together(trial) || trial.gap_cm === 4),
  "all readings silent": change((trial) => together(trial) ? { right: silence, left: silence } : {}),
  "everything silent": change(() => ({ right: silence, left: silence })),
  "gaps in two units": change((trial) =>
    trial.block === "B2" && trial.gap_cm ? { gap_cm: trial.gap_cm * 10 } : {}
  ),
  "negative gaps": change((trial) => together(trial) ? { gap_cm: -2 } : {}),
  "a block with one trial": keep((trial, i) => trial.block !== "B1" || i === 5),
  "three trials in all": keep((_, i) => i < 3),
  "no sizes": change(() => ({
    target_size_mm: null,
    neighbour_length_mm: null,
    neighbour_thickness_mm: null,
  })),
  "no sides, settings or kinds": change(() => ({ side: null, settings: null, neighbour_kind: null })),
  "every trial a block": change((trial) => ({ block: trial.trial_id })),
};

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
      for (const curve of fitDragCurves(driftOfTrials(bad[name]!))) {
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
