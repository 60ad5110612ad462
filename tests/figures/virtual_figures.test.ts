import { describe, expect, test } from "vitest";
import {
  resultIds,
  virtualArrows,
  virtualDragByGap,
  virtualHalfGapScatter,
  virtualLimits,
  virtualPairTable,
  virtualPracticeShares,
  virtualScatterTable,
} from "../../lib/figures/mod.ts";
import {
  closedFormOfTrial,
  halfGapScatter,
  pairTruth,
  practiceShares,
  trialScene,
  trueDrag,
  VIRTUAL_MACHINES,
} from "../../lib/virtual/mod.ts";

const machine = VIRTUAL_MACHINES[0]!;
const scene = (neighbour: string, gapCm = 0) =>
  trialScene({
    target: "copper disc",
    neighbour,
    neighbour_tilt_deg: "30",
    depth_cm: "8",
    gap_cm: String(gapCm),
  });

describe("virtualArrows()", () => {
  const half = pairTruth(scene("large nail"), machine).halfGap as number;
  const pair = { title: "at the half gap", ...closedFormOfTrial(scene("large nail", half), machine) };

  test("draws three arrows a pair, and says where they point", () => {
    const svg = virtualArrows([pair, { ...pair, title: "again" }]);
    expect(svg).toMatch(
      /aria-label="Simulated signals as arrows in the plane of phase, 2 small plots\. at the half gap: target at 171 degrees/,
    );
    // The sum of two nearly equal arrows points nearly half-way between them.
    const sum = Number(/sum at (\d+)/.exec(svg)![1]);
    expect(Math.abs(sum - (pair.targetLagDeg + pair.neighbourLagDeg) / 2)).toBeLessThan(4);
    expect(svg).toBe(virtualArrows([pair, { ...pair, title: "again" }]));
  });

  test("refuses nothing and what is no number", () => {
    expect(() => virtualArrows([])).toThrow("Cannot draw arrows: need at least one pair, got 0");
    expect(() => virtualArrows([{ ...pair, loudnessRatio: NaN }])).toThrow(
      "Cannot draw arrows: loudnessRatio must be a finite number, got NaN",
    );
  });
});

describe("virtualDragByGap()", () => {
  const line = {
    neighbour: "large nail",
    depthCm: 8,
    halfGapCm: 6,
    points: [{ gapCm: 0, drag: 0.8 }, { gapCm: 12, drag: 0.1 }],
  };
  test("says each half gap", () => {
    const svg = virtualDragByGap([line, { ...line, neighbour: "small nail", halfGapCm: null }]);
    expect(svg).toContain("large nail 8 cm deep: one half at 6.0 cm; small nail 8 cm deep: never one half.");
  });
  test("refuses no line, and more neighbours than colours", () => {
    expect(() => virtualDragByGap([])).toThrow(RangeError);
    expect(() => virtualDragByGap(Array.from({ length: 8 }, (_, i) => ({ ...line, neighbour: `nail ${i}` }))))
      .toThrow(
        "Cannot draw drag by gap: at most 7 neighbours, got 8",
      );
  });
});

test("virtualHalfGapScatter() and its table count the nails that never drag half-way", () => {
  const scatter = halfGapScatter({ nails: 12, tiltDeg: [0, 60] });
  expect(scatter.halfGapsCm.length + scatter.never + scatter.other).toBe(12);
  const svg = virtualHalfGapScatter([{ label: "tilt", windings: "concentric", scatter }]);
  expect(svg).toContain(`never for ${scatter.never} of 12`);
  const shown = virtualScatterTable([{ varied: "tilt", windings: "concentric", scatter }]);
  const share = shown.recorded.results.find(({ id }) => id === "virtual.neverHalfWay")!;
  expect("value" in share && share.value).toBeCloseTo(scatter.never / 12, 12);
  expect(() => virtualHalfGapScatter([])).toThrow(RangeError);
  expect(() => halfGapScatter({ nails: 0 })).toThrow(
    "Cannot scatter half gaps: nails must be a whole number of 1 or above, got 0",
  );
  expect(() => halfGapScatter({ tiltDeg: [30, 10] })).toThrow(
    "Cannot scatter half gaps: tiltDeg must rise, got 30 to 10",
  );
});

test("virtualPairTable() records half gaps, and never as an absence", () => {
  const pairs = ["large nail", "small nail"].map((neighbour) => ({
    target: "copper disc",
    neighbour,
    depthCm: 8,
    truth: pairTruth(scene(neighbour), machine),
    touching: trueDrag(scene(neighbour), machine),
    atHalfGap: null,
  }));
  const { results } = virtualPairTable(pairs).recorded;
  const half = results.filter(({ id }) => id === "virtual.halfGapCm");
  expect("value" in half[0]! && half[0].value).toBeCloseTo(6.0, 1);
  expect("absent" in half[1]! && half[1].absent).toBe("never");
  for (const result of results) expect(resultIds[result.id]!.room).toBe("virtual");
});

test("virtualPracticeShares() and virtualLimits() speak plainly", () => {
  expect(virtualPracticeShares(practiceShares({ cases: 20 })).recorded.results.length).toBe(4);
  expect(virtualLimits().text).toMatch(/^\*\*Simulated\.\*\* .*no ground.*no particular machine\.$/);
});
