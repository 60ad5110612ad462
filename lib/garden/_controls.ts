import type { Passes, Trial } from "../log/mod.ts";
import { median } from "../numbers/mod.ts";
import { armKey } from "./_as_laid.ts";
import type { Direction, Evidence } from "./trial_drift.ts";

/** The middle of a readings cell: the usual of a low-usual-high, else the median of the readings. Null when none gave a number. */
export function middleOf(passes: Passes | null): number | null {
  return passes === null || passes.readings.length === 0 ? null : median(passes.readings);
}

/** A control's reading and how close the control stood to the trial. */
export interface ControlReading {
  readonly value: number;
  readonly evidence: Evidence;
  readonly controls: number;
}

interface Tier {
  readonly evidence: Evidence;
  readonly sameBlock: boolean;
  readonly sameLaying: boolean;
}

const tiers: readonly Tier[] = [
  { evidence: "same block", sameBlock: true, sameLaying: true },
  { evidence: "same block, laid otherwise", sameBlock: true, sameLaying: false },
  { evidence: "other blocks", sameBlock: false, sameLaying: true },
  { evidence: "other blocks, laid otherwise", sameBlock: false, sameLaying: false },
];

const sameLaying = (control: Trial, trial: Trial, of: "target" | "neighbour"): boolean =>
  control.medium === trial.medium &&
  (of === "target"
    ? control.target_tilt === trial.target_tilt
    : control.neighbour_count === trial.neighbour_count &&
      control.neighbour_heading_deg === trial.neighbour_heading_deg &&
      control.neighbour_tilt_deg === trial.neighbour_tilt_deg);

/** A lone neighbour has no target whose depth could be logged: a blank depth fits there, and only there. */
const sameHeights = (control: Trial, trial: Trial, of: "target" | "neighbour"): boolean =>
  control.coil_height_cm === trial.coil_height_cm &&
  (control.depth_cm === trial.depth_cm || (of === "neighbour" && control.depth_cm === null));

/** Finds the reading of the target alone, or of the neighbour alone, that belongs to a trial and direction. */
export function controlFinder(trials: readonly Trial[]) {
  const byName = new Map<string, Trial[]>();
  const nameKey = (arm: string, of: string, name: string) => JSON.stringify([arm, of, name]);
  for (const trial of trials) {
    if ((trial.target === null) === (trial.neighbour === null)) continue;
    const key = trial.target !== null
      ? nameKey(armKey(trial), "target", trial.target)
      : nameKey(armKey(trial), "neighbour", trial.neighbour!);
    byName.set(key, [...(byName.get(key) ?? []), trial]);
  }
  return (trial: Trial, direction: Direction, of: "target" | "neighbour"): ControlReading | null => {
    const name = of === "target" ? trial.target! : trial.neighbour!;
    const near = (byName.get(nameKey(armKey(trial), of, name)) ?? []).filter((each) =>
      sameHeights(each, trial, of)
    );
    for (const tier of tiers) {
      const values = near
        .filter((each) => (each.block === trial.block) === tier.sameBlock)
        .filter((each) => sameLaying(each, trial, of) === tier.sameLaying)
        .map((each) => middleOf(each[direction]))
        .filter((value) => value !== null);
      if (values.length > 0) {
        return { value: median(values), evidence: tier.evidence, controls: values.length };
      }
    }
    const written = middleOf(of === "target" ? trial.clean : trial.neighbourAlone);
    return written === null ? null : { value: written, evidence: "written on the row", controls: 0 };
  };
}
