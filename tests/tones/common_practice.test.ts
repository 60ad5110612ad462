// What people say who dig, held against the demo garden. Common practice, no source, one informal observation: a good target
// 3 to 4 cm from nails moves at least one band towards them and still reads above them.
import { expect, test } from "vitest";
import { loadGardenLog, parseMachines } from "../../lib/log/mod.ts";
import { hasValue, sweepFeatures } from "../../lib/sweep/mod.ts";
import { maskedTrials } from "../../lib/tones/_masked_trials.ts";

const bytes = (name: string) => Deno.readFileSync(new URL(`../../datasets/demo/${name}`, import.meta.url));
const machines = parseMachines(new TextDecoder().decode(bytes("machines.json")));
const { garden } = await loadGardenLog({ name: "garden-log.csv", bytes: bytes("garden-log.csv") }, machines);

const near = maskedTrials(garden).flatMap(({ arm, trials }) => {
  const centreOf = (trial: (typeof garden.trials)[number]): number => {
    const { centre } = sweepFeatures(trial, { machine: arm.machine });
    if (!hasValue(centre)) throw new Error(`${trial.trial_id}: ${centre.reason}`);
    return centre.value;
  };
  return trials.filter(({ trial }) =>
    trial.neighbour_kind === "nail" && trial.gap_cm !== null && trial.gap_cm >= 3 && trial.gap_cm <= 4
  ).map((one) => ({
    ...one,
    machine: arm.machine.machine,
    reading: centreOf(one.trial),
    nails: arm.rows.filter((other) =>
      other.block === one.trial.block && other.target === null && other.neighbour === one.trial.neighbour
    ).map(centreOf),
  }));
});
const ofSize = (small: boolean) =>
  near.filter(({ machine, trial }) => machine === "Machine A" && (trial.neighbour_length_mm! < 45) === small);

test("common practice, no source: beside nails at 3 to 4 cm a good target still reads above them", () => {
  expect(near.length).toBeGreaterThanOrEqual(15);
  for (const { reading, nails, togetherBand, trial } of near) {
    expect(nails.length).toBeGreaterThan(0);
    expect(reading).toBeGreaterThan(Math.max(...nails));
    expect([trial.trial_id, togetherBand > 0]).toEqual([trial.trial_id, true]);
  }
});

test("common practice, no source: it moves at least one band of four towards them, where nails are not small", () => {
  const moved = (small: boolean) =>
    ofSize(small).map(({ cleanBand, togetherBand }) => cleanBand - togetherBand >= 1);
  // Of one informal observation a majority is asked; a nail shorter than 45 mm need not move such targets, and no band may
  // be left where there are but two.
  const usual = moved(false);
  expect(usual.length).toBeGreaterThanOrEqual(8);
  expect(usual.filter(Boolean).length / usual.length).toBeGreaterThan(0.75);
  expect(ofSize(true).every(({ cleanBand, togetherBand }) => togetherBand <= cleanBand)).toBe(true);
});
