import type { Trial } from "../log/mod.ts";

/** Left and right are mirror images once both directions are read; the other sides are layings of their own. */
export function sideClass(trial: Trial): string {
  return trial.side === "left" || trial.side === "right" || trial.side === null ? "beside" : trial.side;
}

const armParts = (trial: Trial) => [trial.machine, trial.settings, trial.discrimination];

const targetParts = (trial: Trial) => [
  ...armParts(trial),
  trial.target,
  trial.target_tilt,
  trial.coil_height_cm,
  trial.medium,
  trial.depth_cm === null ? "no depth" : "depth",
];

/** Trials with one key share machine and settings: nothing is ever compared across two of them. */
export const armKey = (trial: Trial): string => JSON.stringify(armParts(trial));

/** Trials with one key share machine, settings, target, coil height and medium: their curves share a slope. */
export const groupKey = (trial: Trial): string => JSON.stringify(targetParts(trial));

/** Trials with one key are one pair of objects as laid: only gap and depth differ. */
export const pairKey = (trial: Trial): string =>
  JSON.stringify([
    ...targetParts(trial),
    trial.neighbour,
    trial.neighbour_count,
    trial.neighbour_heading_deg,
    trial.neighbour_tilt_deg,
    sideClass(trial),
    trial.height_difference_cm ?? 0,
  ]);

/** What may set apart two pairs of one machine, target and neighbour: name and value, as text. */
export function layingParts(trial: Trial): Readonly<Record<string, string>> {
  const word = (value: string | number | null): string => value === null ? "not logged" : String(value);
  return {
    settings: word(trial.settings),
    discrimination: trial.discrimination,
    coil_height_cm: word(trial.coil_height_cm),
    medium: word(trial.medium),
    target_tilt: word(trial.target_tilt),
    neighbour_count: word(trial.neighbour_count),
    neighbour_heading_deg: word(trial.neighbour_heading_deg),
    neighbour_tilt_deg: word(trial.neighbour_tilt_deg),
    side: sideClass(trial),
    height_difference_cm: word(trial.height_difference_cm ?? 0),
    depth: trial.depth_cm === null ? "not logged" : "logged",
  };
}

/**
 * Fills what a row left blank from what its block, or all rows with the same object, agree on: coil height and medium by block,
 * sizes by the object's name. A blank that others disagree about stays blank.
 */
export function fillBlanks(trials: readonly Trial[]): readonly Trial[] {
  const agreed = <T>(key: (trial: Trial) => string | null, value: (trial: Trial) => T | null) => {
    const seen = new Map<string, Set<T>>();
    for (const trial of trials) {
      const k = key(trial), v = value(trial);
      if (k !== null && v !== null) seen.set(k, (seen.get(k) ?? new Set<T>()).add(v));
    }
    return (trial: Trial): T | null => {
      const own = value(trial);
      if (own !== null) return own;
      const k = key(trial);
      const values = k === null ? undefined : seen.get(k);
      return values?.size === 1 ? [...values][0]! : null;
    };
  };
  const block = (trial: Trial) => JSON.stringify([...armParts(trial), trial.block]);
  const coilHeight = agreed(block, (trial) => trial.coil_height_cm);
  const medium = agreed(block, (trial) => trial.medium);
  const size = agreed((trial) => trial.target, (trial) => trial.target_size_mm);
  const length = agreed((trial) => trial.neighbour, (trial) => trial.neighbour_length_mm);
  const thickness = agreed((trial) => trial.neighbour, (trial) => trial.neighbour_thickness_mm);
  return trials.map((trial) => ({
    ...trial,
    coil_height_cm: coilHeight(trial),
    medium: medium(trial),
    target_size_mm: size(trial),
    neighbour_length_mm: length(trial),
    neighbour_thickness_mm: thickness(trial),
  }));
}

/**
 * The distance between centres when the edges touch, in cm: the target's radius and half of what the neighbour measures along the
 * line between the two. Null where a size is not logged.
 *
 * A neighbour lies to the left or right of the target, along the sweep: heading 0 points at the target, 90 (also taken where no
 * heading is logged) lies broadside. Ends are square: half of length |cos| plus thickness |sin|.
 */
export function touchingDistanceCm(trial: Trial): number | null {
  const { target_size_mm: size, neighbour_thickness_mm: thickness, neighbour_length_mm: length } = trial;
  if (size === null || thickness === null) return null;
  const heading = (trial.neighbour_heading_deg ?? 90) * Math.PI / 180;
  const along = Math.abs(Math.cos(heading)) < 1e-9 ? 0 : Math.abs(Math.cos(heading));
  if (along > 0 && length === null) return null;
  const reach = (length ?? 0) * along + thickness * Math.abs(Math.sin(heading));
  return (size + reach) / 20;
}
