import { simulatedGarden } from "../../lib/garden/mod.ts";
import type { Garden, Trial } from "../../lib/log/mod.ts";
import { silentPasses as silence } from "./_gardens.ts";

export const full = simulatedGarden([{ name: "large", qCm2: 60 }, { name: "small", qCm2: 20 }], {
  seed: 2,
  blocks: 6,
});
const together = (trial: Trial) => trial.target !== null && trial.neighbour !== null;
const keep = (which: (trial: Trial, i: number) => boolean): Garden => ({
  ...full,
  trials: full.trials.filter(which),
});
export const change = (to: (trial: Trial) => Partial<Trial>): Garden => ({
  ...full,
  trials: full.trials.map((trial) => ({ ...trial, ...to(trial) })),
});
export const turned = (cell: Trial["right"]) =>
  cell === null ? null : { ...cell, readings: cell.readings.map((reading) => 600 - reading) };

/** Gardens that lack something, by what they lack. */
export const bad: Readonly<Record<string, Garden>> = {
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
  "three controls in all": keep((_, i) => i < 3),
  // One of each kind: the target alone, a neighbour alone, and both.
  "three trials in all": {
    ...full,
    trials: [
      full.trials.find((trial) => trial.neighbour === null)!,
      full.trials.find((trial) => trial.target === null)!,
      full.trials.find((trial) => together(trial) && trial.neighbour === "large")!,
    ],
  },
  "no sizes": change(() => ({
    target_size_mm: null,
    neighbour_length_mm: null,
    neighbour_thickness_mm: null,
  })),
  "no sides, settings or kinds": change(() => ({ side: null, settings: null, neighbour_kind: null })),
  "every trial a block": change((trial) => ({ block: trial.trial_id })),
};
