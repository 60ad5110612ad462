import type { Garden, Machine, Passes, Trial } from "../log/mod.ts";
import { chance } from "../numbers/mod.ts";
import { closedFormDrag } from "../virtual/mod.ts";

/** A neighbour of a simulated garden; the target is the same for all. */
export interface SimulatedNeighbour {
  readonly name: string;
  /** The square of the distance between centres at which target and neighbour are equally loud, in cm2; may be below 0. */
  readonly qCm2: number;
  /** Gaps of this neighbour in cm. Default: those of the garden. */
  readonly gapsCm?: readonly number[];
}

/** Scatter of simulated readings, standard deviations in reading units. */
export interface SimulatedNoise {
  /** From pass to pass. */
  readonly pass: number;
  /** From trial to trial: half of it everywhere, and as much again as the curve is steep. */
  readonly trial: number;
  /** From block to block: the level of all readings, and (a sixtieth of it, in powers of two of loudness) what the neighbours do. */
  readonly block: number;
}

export interface SimulatedGardenOptions {
  readonly seed: number;
  /** Which of the gardens of one seed. Default 0. */
  readonly replicate?: number;
  /** Default 14. */
  readonly blocks?: number;
  /** Trials a block, its controls (the target alone, each neighbour alone) among them. Default 13. */
  readonly trialsPerBlock?: number;
  /** Gaps in cm, dealt out evenly to each neighbour in random order. Default 0 to 12. */
  readonly gapsCm?: readonly number[];
  /** "phasor": drag of two phasors by the closed form; "working": the working curve itself. Default "phasor". */
  readonly form?: "phasor" | "working";
  /** Loudness halves when the square of the distance grows by this, in cm2. Default 60. */
  readonly halvingCm2?: number;
  /** Angle between the two phasors. Default 130. */
  readonly phaseDifferenceDeg?: number;
  readonly noise?: SimulatedNoise;
  readonly cleanReading?: number;
  readonly neighbourReading?: number;
}

/** Distance between centres at touching: a disc of 20 mm and a nail 10 mm thick laid across the sweep. */
export const SIMULATED_TOUCHING_CM = 1.5;

const machine: Machine = {
  machine: "Machine A",
  scale: { low: 0, high: 600, step: 1 },
  iron_break: 210,
  tones: {
    name: "One band",
    kind: "bands",
    breaks: [],
    bands: [{ name: "all", pitch_hz: 440, loudness: 1 }],
  },
};

/** The working curve's s for given physics: its slope at one half is that of the closed form. */
export function workingSlope(halvingCm2: number, phaseDifferenceDeg: number): number {
  const delta = phaseDifferenceDeg * Math.PI / 180;
  return halvingCm2 * delta / (Math.LN2 * 2 * Math.tan(delta / 2));
}

/**
 * Makes a garden log whose truth is known, quickly: no coil is simulated, only loudness that falls with the square of the distance between
 * centres, the drag that follows, and scatter between blocks, trials and passes, rounded to the display.
 *
 * For trying out what a fit or a plan would find; `virtualGarden` simulates the physics of coil and objects instead. Half gap =
 * sqrt(qCm2) - 1.5 cm where that is above 0. Throws RangeError without a neighbour and where a block has no room
 * for a trial beside its controls.
 *
 * @example
 * ```ts
 * import { simulatedGarden } from "overiron";
 * const garden = simulatedGarden([{ name: "nail", qCm2: 40 }], { seed: 1, blocks: 5, trialsPerBlock: 12 });
 * if (garden.trials.length !== 60) throw new Error("wrong");
 * ```
 */
export function simulatedGarden(
  neighbours: readonly SimulatedNeighbour[],
  options: SimulatedGardenOptions,
): Garden {
  const {
    seed,
    replicate = 0,
    blocks = 14,
    trialsPerBlock = 13,
    gapsCm = [0, 1, 2, 3, 4, 5, 6, 8, 10, 12],
    form = "phasor",
    halvingCm2 = 60,
    phaseDifferenceDeg = 130,
    noise = { pass: 4, trial: 8, block: 6 },
    cleanReading = 560,
    neighbourReading = 130,
  } = options;
  if (neighbours.length === 0) throw new RangeError("Cannot simulate a garden: need a neighbour, got 0");
  const together = trialsPerBlock - 1 - neighbours.length;
  if (together < 1) {
    throw new RangeError(
      `Cannot simulate a garden: a block needs more than its ${
        1 + neighbours.length
      } controls, got ${trialsPerBlock} trials`,
    );
  }
  const draw = chance(seed, "garden/simulated", replicate);
  const slope = workingSlope(halvingCm2, phaseDifferenceDeg);
  const trials: Trial[] = [];
  const decks = neighbours.map(() => [] as number[]);
  const deal = (index: number): number => {
    if (decks[index]!.length === 0) decks[index]!.push(...draw.shuffle(neighbours[index]!.gapsCm ?? gapsCm));
    return decks[index]!.pop()!;
  };
  for (let b = 0; b < blocks; b++) {
    const level = noise.block * draw.normal(), stretch = noise.block / 60 * draw.normal();
    const read = (mean: number, scatter: number): Passes => {
      const centre = mean + level + draw.normal() * scatter;
      const readings = Array.from(
        { length: 4 },
        () => Math.min(600, Math.max(0, Math.round(centre + draw.normal() * noise.pass))),
      );
      return {
        written: readings.join(" "),
        kind: "passes",
        readings,
        silent: 0,
        passes: 4,
        approximate: false,
      };
    };
    const add = (
      target: string | null,
      neighbour: string | null,
      gap_cm: number | null,
      mean: number,
      scatter: number,
    ) => {
      const shift = draw.normal() * scatter;
      trials.push({
        trial_id: `T${trials.length + 1}`,
        block: `B${b + 1}`,
        run_order: null,
        date: null,
        settings: "A-open",
        machine: "Machine A",
        discrimination: "none",
        spot: null,
        medium: "fresh-hole",
        target,
        target_tilt: null,
        target_size_mm: target === null ? null : 20,
        depth_cm: 8,
        coil_height_cm: 2,
        neighbour,
        neighbour_kind: neighbour === null ? null : "nail",
        neighbour_length_mm: neighbour === null ? null : 60,
        neighbour_thickness_mm: neighbour === null ? null : 10,
        neighbour_count: neighbour === null ? null : 1,
        side: gap_cm === null ? null : draw.integer(2) === 0 ? "left" : "right",
        neighbour_heading_deg: neighbour === null ? null : 90,
        neighbour_tilt_deg: neighbour === null ? null : 0,
        gap_cm,
        height_difference_cm: gap_cm === null ? null : 0,
        right: read(mean + shift, scatter / 3),
        left: read(mean + shift, scatter / 3),
        cross: null,
        tone_heard: null,
        blind: null,
        clean: null,
        neighbourAlone: null,
      });
    };
    add("disc", null, null, cleanReading, noise.trial / 4);
    for (const { name } of neighbours) add(null, name, null, neighbourReading, noise.trial / 4);
    for (let k = 0; k < together; k++) {
      const index = (k + b * together) % neighbours.length, { name, qCm2 } = neighbours[index]!;
      const gap_cm = deal(index), x2 = (gap_cm + SIMULATED_TOUCHING_CM) ** 2;
      const drag = form === "phasor"
        ? closedFormDrag(2 ** ((qCm2 - x2) / halvingCm2 + stretch), phaseDifferenceDeg)
        : 1 / (1 + Math.exp(-(qCm2 - x2 + stretch * halvingCm2) / slope));
      const steep = 4 * drag * (1 - drag);
      add(
        "disc",
        name,
        gap_cm,
        cleanReading - drag * (cleanReading - neighbourReading),
        noise.trial * (0.5 + steep),
      );
    }
  }
  return { machines: [machine], settings: [], trials };
}
