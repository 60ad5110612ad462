import type { Evidence } from "../garden/mod.ts";
import type { Machine, Passes, Trial } from "../log/mod.ts";
import { hasValue, sweepCentre } from "../sweep/mod.ts";

/** What a target reads without its neighbour, and where that comes from, in the words of the garden's drift. */
export interface CleanReading {
  readonly reading: number | "silent";
  readonly from: Evidence;
}

/** All passes of several cells as one cell; summaries stay out where passes are at hand. */
function pooled(cells: readonly (Passes | null)[]): Passes | null {
  const there = cells.filter((cell) => cell !== null);
  const passes = there.filter((cell) => cell.kind === "passes");
  if (passes.length === 0) return there[0] ?? null;
  const readings = passes.flatMap((cell) => cell.readings);
  const silent = passes.reduce((sum, cell) => sum + cell.silent, 0);
  return {
    written: "",
    kind: "passes",
    readings,
    silent,
    passes: readings.length + silent,
    approximate: false,
  };
}

/** A height left blank fits any. */
const fits = (a: number | null, b: number | null): boolean => a === null || b === null || a === b;

const tiers = [
  { from: "same block", sameBlock: true, alike: true },
  { from: "same block, laid otherwise", sameBlock: true, alike: false },
  { from: "other blocks", sameBlock: false, alike: true },
  { from: "other blocks, laid otherwise", sameBlock: false, alike: false },
] as const satisfies readonly { from: Evidence; sameBlock: boolean; alike: boolean }[];

/**
 * Finds the clean reading for every trial of one arm that has both a target and a neighbour: the centre of the nearest
 * controls (target alone, same settings, depth and coil height), else what the row itself says. A trial with neither is
 * missing from the map.
 */
export function cleanReadings(trials: readonly Trial[], machine: Machine): Map<string, CleanReading> {
  const controls = new Map<string, Trial[]>();
  const nameKey = (trial: Trial) => JSON.stringify([trial.settings, trial.target]);
  for (const trial of trials) {
    if (trial.target === null || trial.neighbour !== null) continue;
    const group = controls.get(nameKey(trial));
    if (group) group.push(trial);
    else controls.set(nameKey(trial), [trial]);
  }
  const read = (right: Passes | null, left: Passes | null): number | "silent" | null => {
    const centre = sweepCentre({ right, left, cross: null }, { machine });
    return hasValue(centre) ? centre.value : centre.absent === "silent" ? "silent" : null;
  };
  const cleanOf = (trial: Trial): CleanReading | null => {
    const near = (controls.get(nameKey(trial)) ?? []).filter((control) =>
      fits(control.depth_cm, trial.depth_cm) && fits(control.coil_height_cm, trial.coil_height_cm)
    );
    for (const { from, sameBlock, alike } of tiers) {
      const own = near.filter((control) =>
        (control.block === trial.block) === sameBlock &&
        (control.target_tilt === trial.target_tilt && control.medium === trial.medium) === alike
      );
      const reading = read(pooled(own.map((one) => one.right)), pooled(own.map((one) => one.left)));
      if (reading !== null) return { reading, from };
    }
    const reading = read(trial.clean, null);
    return reading === null ? null : { reading, from: "written on the row" };
  };
  const found = new Map<string, CleanReading>();
  for (const trial of trials) {
    if (trial.target === null || trial.neighbour === null) continue;
    const clean = cleanOf(trial);
    if (clean !== null) found.set(trial.trial_id, clean);
  }
  return found;
}
