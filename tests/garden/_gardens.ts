import type { Garden, Passes, Trial } from "../../lib/log/mod.ts";
import { type Chance, chance } from "../../lib/numbers/mod.ts";
import { closedFormDrag } from "../../lib/virtual/closed_form_drag.ts";

export const machineA = {
  machine: "Machine A",
  scale: { low: 0, high: 600, step: 1 },
  iron_break: 210,
  tones: {
    name: "One band",
    kind: "bands",
    breaks: [],
    bands: [{ name: "all", pitch_hz: 440, loudness: 1 }],
  },
} as const;

export function passes(...readings: readonly number[]): Passes {
  return {
    written: readings.join(" "),
    kind: "passes",
    readings,
    silent: 0,
    passes: readings.length,
    approximate: false,
  };
}

export const silentPasses: Passes = {
  written: "x x",
  kind: "passes",
  readings: [],
  silent: 2,
  passes: 2,
  approximate: false,
};

/** A trial of a disc beside a nail; everything may be overridden. */
export function trial(own: Partial<Trial> & { readonly trial_id: string }): Trial {
  return {
    block: "B1",
    run_order: null,
    date: null,
    settings: "A-open",
    machine: "Machine A",
    discrimination: "none",
    spot: null,
    medium: "fresh-hole",
    target: "disc",
    target_tilt: null,
    target_size_mm: 20,
    depth_cm: 8,
    coil_height_cm: 2,
    neighbour: "nail",
    neighbour_kind: "nail",
    neighbour_length_mm: 60,
    neighbour_thickness_mm: 10,
    neighbour_count: 1,
    side: "left",
    neighbour_heading_deg: 90,
    neighbour_tilt_deg: 0,
    gap_cm: null,
    height_difference_cm: 0,
    right: null,
    left: null,
    cross: null,
    tone_heard: null,
    blind: null,
    clean: null,
    neighbourAlone: null,
    ...own,
  };
}

export const targetAlone = (own: Partial<Trial> & { readonly trial_id: string }): Trial =>
  trial({
    neighbour: null,
    neighbour_kind: null,
    neighbour_length_mm: null,
    neighbour_thickness_mm: null,
    neighbour_count: null,
    side: null,
    neighbour_heading_deg: null,
    neighbour_tilt_deg: null,
    height_difference_cm: null,
    ...own,
  });

export const neighbourAlone = (own: Partial<Trial> & { readonly trial_id: string }): Trial =>
  trial({ target: null, target_size_mm: null, side: null, ...own });

export const garden = (trials: readonly Trial[]): Garden =>
  ({ machines: [machineA], settings: [], trials }) as unknown as Garden;

export interface Laid {
  readonly neighbour: string;
  /** q in cm2: the square of the distance between centres at which the two are equally loud; may be below 0. */
  readonly q: number;
}

export interface SimulateOptions {
  readonly seed: number;
  readonly replicate?: number;
  readonly blocks?: number;
  /** Trials with a neighbour in each block, spread over the neighbours. */
  readonly trialsPerBlock?: number;
  readonly gaps?: readonly number[];
  readonly depths?: readonly number[];
  /** Growth of w2 per cm2 of depth squared. */
  readonly perDepth?: number;
  /** Standard deviation in reading units: between passes, trials and blocks. */
  readonly noise?: { readonly pass: number; readonly trial: number; readonly block: number };
}

export const w2 = 60;
const phaseDifference = 130;
const cleanReading = 560, ironReading = 130;

/**
 * A garden made of the closed form: loudness ratio 2^((q - x^2)/w^2), so that it is 1 at x^2 = q; drag from the two phasors; then noise
 * between blocks, trials and passes, rounded to the display.
 */
export function simulateGarden(laid: readonly Laid[], options: SimulateOptions): Garden {
  const {
    seed,
    replicate = 0,
    blocks = 8,
    trialsPerBlock = 12,
    gaps = [0, 1, 2, 3, 4, 5, 6, 8, 10, 12],
    depths = [8],
    perDepth = 0,
    noise = { pass: 4, trial: 8, block: 6 },
  } = options;
  const draws: Chance = chance(seed, "tests/garden", replicate);
  const trials: Trial[] = [];
  let id = 0;
  // One level of the machine a block, and one effect of the ground on what the neighbour does.
  for (let b = 0; b < blocks; b++) {
    const block = `B${b + 1}`, depth_cm = depths[b % depths.length]!;
    const grow = 1 + perDepth * (depth_cm ** 2 - depths[0]! ** 2);
    const level = draws.normal() * noise.block, stretch = draws.normal() * noise.block / 60;
    const read = (mean: number, scatter: number) => {
      const centre = mean + level + draws.normal() * scatter;
      return passes(
        ...Array.from(
          { length: 4 },
          () => Math.min(600, Math.max(0, Math.round(centre + draws.normal() * noise.pass))),
        ),
      );
    };
    const both = (mean: number, scatter: number) => {
      const shift = draws.normal() * scatter;
      return { right: read(mean + shift, scatter / 3), left: read(mean + shift, scatter / 3) };
    };
    const next = () => `T${++id}`;
    trials.push(targetAlone({ trial_id: next(), block, depth_cm, ...both(cleanReading, noise.trial / 4) }));
    for (const { neighbour } of laid) {
      trials.push(
        neighbourAlone({
          trial_id: next(),
          block,
          depth_cm,
          neighbour,
          ...both(ironReading, noise.trial / 4),
        }),
      );
    }
    for (let k = 0; k < trialsPerBlock; k++) {
      const { neighbour, q } = laid[(k + b) % laid.length]!;
      const gap_cm = gaps[draws.integer(gaps.length)]!;
      const x2 = (gap_cm + 1.5) ** 2;
      const ratio = 2 ** ((q * grow - x2) / (w2 * grow) + stretch);
      const drag = closedFormDrag(ratio, phaseDifference);
      const steep = 4 * drag * (1 - drag);
      const mean = cleanReading - drag * (cleanReading - ironReading);
      trials.push(trial({
        trial_id: next(),
        block,
        depth_cm,
        neighbour,
        gap_cm,
        side: draws.integer(2) === 0 ? "left" : "right",
        ...both(mean, noise.trial * (0.5 + steep)),
      }));
    }
  }
  return garden(trials);
}
