import type { Garden, SettingsSet, Trial } from "../log/mod.ts";
import { fillBlanks } from "./_as_laid.ts";
import {
  closedFormOfTrial,
  type LogRow,
  type TrialScene,
  trialScene,
  VIRTUAL_MACHINES,
  type VirtualMachine,
} from "../virtual/mod.ts";

/** How loud a neighbour is beside its target by the physics of their sizes, and how far apart the two read alone. */
export interface KnownLoudness {
  /** Loudness of the neighbour over that of the target, the coil over the target; above 0. */
  readonly loudnessRatio: number;
  readonly phaseDifferenceDeg: number;
}

/** A machine of the textbook with the coil and frequency of the settings; null where they are not stated or the winding is not one of its two. */
function textbookMachine(settings: SettingsSet | undefined, coilHeightCm: number): VirtualMachine | null {
  if (!settings || settings.frequency_khz === null || settings.coil === null) return null;
  const { length_cm, width_cm, winding } = settings.coil;
  if (winding !== "concentric" && winding !== "overlapped") return null;
  const coil = { winding, diameterCm: Math.sqrt(length_cm * width_cm) };
  return { ...VIRTUAL_MACHINES[0]!, coil, frequencyHz: settings.frequency_khz * 1000, coilHeightCm };
}

/** The trial as a scene, or null where it does not say what lay there or names an object whose metal is not known. */
function sceneOf(trial: Trial): TrialScene | null {
  const { target_size_mm, depth_cm, gap_cm, neighbour_length_mm, neighbour_thickness_mm } = trial;
  const needed = { target_size_mm, depth_cm, gap_cm, neighbour_length_mm, neighbour_thickness_mm };
  if (!trial.target || !trial.neighbour || Object.values(needed).includes(null)) return null;
  if (trial.side === "over" || trial.side === "under") return null;
  const row: Record<string, string> = { target: trial.target, neighbour: trial.neighbour };
  const rest = {
    ...needed,
    neighbour_kind: trial.neighbour_kind,
    neighbour_count: trial.neighbour_count,
    neighbour_heading_deg: trial.neighbour_heading_deg,
    neighbour_tilt_deg: trial.neighbour_tilt_deg,
    height_difference_cm: trial.height_difference_cm,
    side: trial.side,
  };
  for (const [field, value] of Object.entries(rest)) if (value !== null) row[field] = String(value);
  try {
    return trialScene(row satisfies LogRow);
  } catch (error) {
    if (error instanceof RangeError) return null;
    throw error;
  }
}

/**
 * Gives how loud the neighbour was beside the target in each trial, by trial_id, where the log says enough for the physics to tell: the sizes of both objects, depth, coil height and
 * gap, objects whose metal follows from name or kind (`trialScene`), and settings with frequency, coil size and a concentric or overlapped winding.
 *
 * The ratio is that of two dipoles by induction physics under the coil over the target, after a high-pass as the virtual machines have it (`closedFormOfTrial`). No reading is used, so that drags
 * drawn against it test the physics; metals are textbook values, a nail without a logged tilt lies flat. Trials without an answer are left out of the map; so are those
 * where the two read the same or more than 180 degrees apart, and those so far apart that the filter's swing has turned the neighbour's signal over.
 *
 * @example
 * ```ts
 * import { knownLoudness, simulatedGarden } from "overiron";
 * const garden = simulatedGarden([{ name: "nail", qCm2: 40 }], { seed: 1, blocks: 2 });
 * if (knownLoudness(garden).size !== 0) throw new Error("no coil is described, so nothing is known");
 * ```
 */
export function knownLoudness(garden: Garden): ReadonlyMap<string, KnownLoudness> {
  const found = new Map<string, KnownLoudness>();
  const known = new Map<string, KnownLoudness | null>();
  for (const trial of fillBlanks(garden.trials)) {
    const scene = trial.coil_height_cm === null ? null : sceneOf(trial);
    if (scene === null) continue;
    const settings = garden.settings.find((each) => each.settings === trial.settings);
    const key = JSON.stringify([trial.settings, trial.coil_height_cm, scene]);
    let at = known.get(key);
    if (at === undefined) {
      const machine = textbookMachine(settings, trial.coil_height_cm!);
      const closed = machine === null ? null : closedFormOfTrial(scene, machine);
      at = closed === null || closed.drag === null || closed.turnedOver || !(closed.loudnessRatio > 0)
        ? null
        : { loudnessRatio: closed.loudnessRatio, phaseDifferenceDeg: closed.phaseDifferenceDeg };
      known.set(key, at);
    }
    if (at !== null) found.set(trial.trial_id, at);
  }
  return found;
}
