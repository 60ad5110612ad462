import type { Garden, Machine, Trial } from "../log/mod.ts";
import { type Absent, absent, chance } from "../numbers/mod.ts";
import { hasValue, sweepCentre } from "../sweep/mod.ts";
import { armOf, armsOf, bandedScheme } from "./_arms.ts";
import { passesInTurn } from "./_passes_in_turn.ts";
import { bandOf } from "./band_of.ts";

/** Options of `gardenSounds`. */
export interface GardenSoundsOptions {
  /** Seed of the choice and of the order. Default 1. */
  readonly seed?: number;
  /** Gaps up to this many centimetres are taken. Default 4. */
  readonly widestGapCm?: number;
}

/** One of the three trials to be heard. */
export interface GardenSound {
  readonly laid: "target alone" | "neighbour alone" | "both together";
  readonly trial: Trial;
}

/** A target alone, a neighbour alone and both together, of one block, in random order. */
export interface GardenSounds {
  readonly of: Readonly<Record<string, string>>;
  readonly machine: Machine;
  readonly target: string;
  readonly neighbour: string;
  readonly gapCm: number;
  /** Three, in an order drawn from the seed. */
  readonly sounds: readonly GardenSound[];
}

const sounds = (trial: Trial): boolean => passesInTurn(trial).some(({ reading }) => reading !== null);

/**
 * Picks, for each machine and discrimination setting, a trial with target and neighbour and the two controls of its block at
 * the same depth and coil height, to be heard one after the other.
 *
 * Taken are trials with passes (not summaries) in which something sounded, with a gap up to `widestGapCm`, where the centre
 * together lies below the centre of the target alone, and of those the ones in which it lies in a lower band, where there are
 * such. One is drawn from the seed, and so is the order of the three. It is an example, picked to be heard, not a typical case.
 *
 * Returns an absence for an arm without such a trial. Throws RangeError for a machine that is not in the machines list or a
 * widest gap below 0.
 *
 * @example
 * ```ts
 * import { gardenSounds } from "overiron";
 * if (gardenSounds({ machines: [], settings: [], trials: [] }).length !== 0) throw new Error("no trials, nothing to hear");
 * ```
 */
export function gardenSounds(garden: Garden, options: GardenSoundsOptions = {}): (GardenSounds | Absent)[] {
  const { seed = 1, widestGapCm = 4 } = options;
  if (!(widestGapCm >= 0)) {
    throw new RangeError(`Cannot pick sounds: widestGapCm must be 0 or above, got ${widestGapCm}`);
  }
  return armsOf(garden.machines, garden.trials).map((arm, armNumber) => {
    const { machine } = arm;
    const rows = arm.rows.filter(sounds);
    const centreOf = (trial: Trial): number => {
      const centre = sweepCentre(trial, { machine });
      return hasValue(centre) ? centre.value : NaN;
    };
    const triples = rows.flatMap((both): [Trial, Trial, Trial][] => {
      const { target, neighbour, gap_cm: gap } = both;
      if (target === null || neighbour === null || gap === null || gap > widestGapCm) return [];
      const alike = (trial: Trial): boolean =>
        trial.block === both.block && trial.settings === both.settings &&
        trial.depth_cm === both.depth_cm && trial.coil_height_cm === both.coil_height_cm;
      const alone = rows.find((trial) => alike(trial) && trial.target === target && trial.neighbour === null);
      const without = rows.find((trial) =>
        alike(trial) && trial.target === null && trial.neighbour === neighbour
      );
      return alone && without && centreOf(both) < centreOf(alone) ? [[alone, without, both]] : [];
    });
    if (triples.length === 0) {
      return absent(
        "no example",
        `No block of ${machine.machine} holds a lowered target with both its controls at a gap up to ${widestGapCm} cm`,
        { trials: arm.rows.length },
      );
    }
    const draw = chance(seed, "tones/garden-sounds", armNumber);
    const scheme = bandedScheme(machine.tones, machine.iron_break);
    const lower = triples.filter(([alone, , both]) =>
      bandOf(centreOf(both), scheme) < bandOf(centreOf(alone), scheme)
    );
    const from = lower.length > 0 ? lower : triples;
    const [alone, without, both] = from[draw.integer(from.length)]!;
    return {
      of: armOf(arm),
      machine,
      target: both.target!,
      neighbour: both.neighbour!,
      gapCm: both.gap_cm!,
      sounds: draw.shuffle<GardenSound>([
        { laid: "target alone", trial: alone },
        { laid: "neighbour alone", trial: without },
        { laid: "both together", trial: both },
      ]),
    };
  });
}
