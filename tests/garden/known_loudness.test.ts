import { describe, expect, test } from "vitest";
import { driftOfTrials, knownLoudness, simulatedGarden } from "../../lib/garden/mod.ts";
import { physicsGarden } from "../../lib/garden/_physics_garden.ts";
import { closedFormDrag } from "../../lib/virtual/mod.ts";

describe("knownLoudness()", () => {
  const { garden } = physicsGarden({ seed: 5, replicate: 1, blocks: 3, trialsPerBlock: 13, noiseless: true });
  const known = knownLoudness(garden);

  test("foretells the drags of the virtual garden from sizes alone", () => {
    const rows = driftOfTrials(garden).rows.filter((row) => row.drag !== null);
    expect(rows.length).toBeGreaterThan(40);
    const trials = new Map<string, number[]>();
    for (const row of rows) trials.set(row.trial_id, [...(trials.get(row.trial_id) ?? []), row.drag!]);
    let compared = 0;
    for (const [trial, drags] of trials) {
      const at = known.get(trial);
      if (at === undefined) continue;
      const { loudnessRatio, phaseDifferenceDeg } = at;
      const both = drags.reduce((a, b) => a + b, 0) / drags.length;
      // The closed form holds for the coil over the target; the readings are taken a little to both sides of it.
      expect(Math.abs(both - closedFormDrag(loudnessRatio, phaseDifferenceDeg))).toBeLessThan(0.06);
      compared++;
    }
    expect(compared).toBeGreaterThan(20);
  });

  test("falls as the gap widens, and uses no reading", () => {
    const strong = garden.trials.filter((trial) => trial.neighbour === "strong" && trial.target !== null)
      .sort((a, b) => a.gap_cm! - b.gap_cm!);
    const ratios = strong.flatMap((trial) => known.get(trial.trial_id)?.loudnessRatio ?? []);
    expect(ratios).toEqual([...ratios].sort((a, b) => b - a));
    expect(ratios.at(-1)!).toBeLessThan(ratios[0]! / 3);
    const blank = {
      ...garden,
      trials: garden.trials.map((trial) => ({ ...trial, right: null, left: null })),
    };
    expect(knownLoudness(blank)).toEqual(known);
  });

  test("says nothing where sizes, coil, frequency or metal are not known", () => {
    const size = (change: Partial<(typeof garden.trials)[number]>) =>
      knownLoudness({ ...garden, trials: garden.trials.map((trial) => ({ ...trial, ...change })) }).size;
    // All but those so far out that the signal is turned over.
    const laid = garden.trials.filter((trial) => trial.target && trial.neighbour);
    expect(known.size).toBeGreaterThan(0.7 * laid.length);
    expect(laid.filter((trial) => !known.has(trial.trial_id)).every((trial) => trial.gap_cm! >= 8)).toBe(
      true,
    );
    expect(size({ target_size_mm: null })).toBe(0);
    expect(size({ neighbour_thickness_mm: null })).toBe(0);
    expect(size({ depth_cm: null })).toBe(0);
    expect(size({ coil_height_cm: null })).toBe(0);
    expect(size({ target: "keepsake" })).toBe(0);
    const [own] = garden.settings;
    expect(knownLoudness({ ...garden, settings: [{ ...own!, frequency_khz: null }] }).size).toBe(0);
    expect(
      knownLoudness({ ...garden, settings: [{ ...own!, coil: { ...own!.coil!, winding: "single" } }] }).size,
    )
      .toBe(0);
    expect(knownLoudness(simulatedGarden([{ name: "nail", qCm2: 40 }], { seed: 1, blocks: 2 })).size).toBe(0);
  });
});
