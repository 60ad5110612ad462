import { expect, test } from "vitest";
import {
  PRACTICE_BANDS,
  practiceShares,
  trialScene,
  trueDrag,
  VIRTUAL_MACHINES,
} from "../../lib/virtual/mod.ts";

test("practiceShares() gives the same shares from one seed, with intervals and counts", () => {
  const shares = practiceShares({ cases: 60, seed: 3 });
  expect(practiceShares({ cases: 60, seed: 3 })).toEqual(shares);
  for (const share of Object.values(shares)) {
    if (!("value" in share)) throw new Error(share.reason);
    expect(share.n.cases).toBeLessThanOrEqual(60);
    expect(share.interval.low).toBeLessThanOrEqual(share.value);
    expect(share.interval.high).toBeGreaterThanOrEqual(share.value);
  }
  if ("value" in shares.all && "value" in shares.weakerTouching) {
    expect(shares.all.value).toBeLessThanOrEqual(shares.weakerTouching.value);
  }
});

test("the demo's medium nail on each side of the disc at 3.5 cm drags within the band of practice", () => {
  // From the trade, common practice with no source: 0.5 to 0.8. One informal observation, met here by one pair of objects.
  const scene = trialScene({
    target: "copper disc",
    neighbour: "medium nail",
    neighbour_tilt_deg: "30",
    side: "both",
    gap_cm: "3.5",
    depth_cm: "8",
  });
  const drag = trueDrag(scene, VIRTUAL_MACHINES[0]!)!;
  expect(drag).toBeGreaterThan(PRACTICE_BANDS.oneEachSide.low);
  expect(drag).toBeLessThan(PRACTICE_BANDS.oneEachSide.high);
});

test("practiceShares() refuses no cases", () => {
  expect(() => practiceShares({ cases: 0 })).toThrow(
    "Cannot try cases: cases must be a whole number of 1 or above, got 0",
  );
});
