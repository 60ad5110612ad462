import type { Evidence } from "../garden/mod.ts";
import type { Garden, ToneScheme, Trial } from "../log/mod.ts";
import { type Arm, armsOf, schemeFor } from "./_arms.ts";
import { bandOf } from "./band_of.ts";
import { cleanReadings } from "./_clean_reading.ts";
import { signalBand } from "./signal_band.ts";

/** A trial with target and neighbour whose band is known both ways. Bands count from 0; `bands` of the scheme is "silent". */
export interface MaskedTrial {
  readonly trial: Trial;
  readonly cleanBand: number;
  readonly togetherBand: number;
  readonly cleanFrom: Evidence;
}

export interface MaskedArm {
  readonly arm: Arm<Trial>;
  readonly scheme: ToneScheme;
  readonly trials: readonly MaskedTrial[];
  /** Trials with a target and a neighbour that could not be used, by reason. */
  readonly leftOut: Readonly<Record<string, number>>;
}

/** Trials with a target and a neighbour, an arm at a time, with the band each way. */
export function maskedTrials(garden: Garden, schemes?: Readonly<Record<string, ToneScheme>>): MaskedArm[] {
  return armsOf(garden.machines, garden.trials).map((arm) => {
    const scheme = schemeFor(arm.machine, schemes);
    const silent = scheme.bands.length;
    const clean = cleanReadings(arm.rows, arm.machine);
    const leftOut: Record<string, number> = { "no clean reading": 0, "no reading together": 0 };
    const trials: MaskedTrial[] = [];
    for (const trial of arm.rows) {
      if (trial.target === null || trial.neighbour === null) continue;
      const alone = clean.get(trial.trial_id);
      const together = signalBand(trial, arm.machine, { scheme });
      if (typeof together === "object") leftOut["no reading together"]!++;
      else if (!alone) leftOut["no clean reading"]!++;
      else {
        trials.push({
          trial,
          cleanBand: alone.reading === "silent" ? silent : bandOf(alone.reading, scheme),
          togetherBand: together === "silent" ? silent : together,
          cleanFrom: alone.from,
        });
      }
    }
    return { arm, scheme, trials, leftOut };
  }).filter(({ arm }) => arm.rows.some((trial) => trial.target !== null && trial.neighbour !== null));
}
