import type { Machine, Passes } from "../log/mod.ts";
import { median } from "../numbers/mod.ts";
import { medianVariance } from "./median_variance.ts";
import type { SweepAbsent, SweepNumber, SweepValue } from "./sweep_value.ts";

/** The readings cells of one signal or trial. Null means the direction was not logged. */
export interface SweptPasses {
  readonly right: Passes | null;
  readonly left: Passes | null;
  readonly cross: Passes | null;
}

/** Options of `sweepFeatures` and `sweepCentre`. */
export interface SweepFeaturesOptions {
  /** Whose scale step and iron break hold. */
  readonly machine: Machine;
  /** Standard deviation of one pass over the same target, in reading units. Without it, it is told from the signal's own passes where they allow. */
  readonly repeatNoise?: number;
}

/** How many degrees of freedom the machine's repeat noise counts for beside a signal's own passes. */
const noiseWeight = 4;

export const number = (value: number, standardError: number | null = null): SweepNumber => ({
  value,
  standardError,
});

export const missing = (absent: SweepAbsent["absent"], reason: string): SweepAbsent => ({ absent, reason });

/** The reading a direction stands for: the usual one of a summary, else the median. */
export function middleOf(passes: Passes): number {
  return passes.kind === "low-usual-high" ? passes.readings[1]! : median(passes.readings);
}

export const gaveNumbers = (passes: Passes | null): passes is Passes =>
  passes !== null && passes.readings.length > 0;

/** Readings that are single passes: a summary's limits are not. */
export function singles(passes: Passes | null): readonly number[] {
  return passes !== null && passes.kind === "passes" ? passes.readings : [];
}

/** Variance of one pass: the signal's own, drawn towards the machine's repeat noise; null where neither can be told. */
export function passVariance(record: SweptPasses, options: SweepFeaturesOptions): number | null {
  let squares = 0, freedom = 0;
  for (const readings of [record.right, record.left, record.cross].map(singles)) {
    if (readings.length < 2) continue;
    const mean = readings.reduce((sum, reading) => sum + reading, 0) / readings.length;
    for (const reading of readings) squares += (reading - mean) ** 2;
    freedom += readings.length - 1;
  }
  // A display in steps hides up to half a step either way: variance step^2 / 12 (Sheppard 1898).
  const rounding = options.machine.scale.step ** 2 / 12;
  const { repeatNoise } = options;
  if (repeatNoise !== undefined) {
    return (noiseWeight * repeatNoise ** 2 + squares) / (noiseWeight + freedom) + rounding;
  }
  return freedom >= 2 ? squares / freedom + rounding : null;
}

/** The readings a direction stands for: its passes, or the one reading of a summary. */
export const standFor = (passes: Passes): readonly number[] =>
  passes.kind === "passes" ? passes.readings : [middleOf(passes)];

export function nothingHeard({ right, left }: SweptPasses): SweepAbsent {
  return right === null && left === null
    ? missing("not-logged", "No readings to the right or left were logged")
    : missing("silent", "No pass gave a number");
}

export function centreOf(record: SweptPasses, variance: number | null): SweepValue {
  const readings = [record.right, record.left].filter(gaveNumbers).flatMap(standFor);
  return readings.length === 0 ? nothingHeard(record) : number(
    median(readings),
    variance === null ? null : Math.sqrt(variance * medianVariance(readings.length)),
  );
}

export function checkNoise(repeatNoise: number | undefined): void {
  if (repeatNoise !== undefined && !(repeatNoise >= 0 && Number.isFinite(repeatNoise))) {
    throw new RangeError(`Cannot compute sweep features: repeatNoise must be 0 or above, got ${repeatNoise}`);
  }
}
