import type { Passes } from "../log/mod.ts";
import { interquartileRange, median } from "../numbers/mod.ts";
import { beyondScatter } from "./_beyond_scatter.ts";
import {
  centreOf,
  checkNoise,
  gaveNumbers,
  middleOf,
  missing,
  nothingHeard,
  number,
  passVariance,
  singles,
  standFor,
  type SweepFeaturesOptions,
  type SweptPasses,
} from "./_swept_passes.ts";
import { medianVariance } from "./median_variance.ts";
import { noiseSpread } from "./noise_spread.ts";
import type { SweepAbsent, SweepNumber, SweepValue } from "./sweep_value.ts";

export type { SweepFeaturesOptions, SweptPasses };

/** What a signal's readings come to. Reading units throughout, shares 0 to 1. */
export interface SweepFeatures {
  /** Median of the passes that gave a number, both directions. */
  readonly centre: SweepValue;
  /** Interquartile range (type 7) of the readings about each direction's own median, from four readings on. */
  readonly spread: SweepValue;
  /** Spread over what pure noise of standard deviation 1 shows with as many passes: comparable between signals. */
  readonly spreadCorrected: SweepValue;
  /** Median to the right minus median to the left, with its standard error where noise can be told. */
  readonly asymmetry: SweepValue;
  /** How much farther apart a pass to the right and one to the left are than two passes the same way; noise alone gives 0 on average, above and below. */
  readonly asymmetryCorrected: SweepValue;
  /** Median of the cross passes minus the centre, with its standard error where noise can be told. */
  readonly turnChange: SweepValue;
  /** The same for a pass after the quarter turn and one before it; passes to the right and to the left count alike, however many. */
  readonly turnChangeCorrected: SweepValue;
  /** Share of the passes to the right and left that gave no number. */
  readonly dropout: SweepValue;
  /** Share of the readings to the right and left that lie below the machine's iron break. */
  readonly ironShare: SweepValue;
  /** Highest reading met at least twice to the right and left. */
  readonly bestRepeat: SweepValue;
  /** Passes to the right and left, where they are known. */
  readonly passes: SweepValue;
}

function absentDirection(passes: Passes | null, name: string): SweepAbsent {
  return passes === null
    ? missing("not-logged", `No readings ${name} were logged`)
    : missing("silent", `No pass ${name} gave a number`);
}

/** Variance of a direction's middle in units of one pass's; a summary counts as a single pass. */
const middleVariance = (passes: Passes): number =>
  passes.kind === "passes" ? medianVariance(passes.readings.length) : 1;

function spreadOf(record: SweptPasses): { spread: SweepValue; corrected: SweepValue } {
  const directions = [record.right, record.left].map(singles);
  const count = directions[0]!.length + directions[1]!.length;
  if (count < 4) {
    const known = record.right !== null || record.left !== null;
    const reason = known
      ? `Spread needs 4 single passes that gave a number, got ${count}`
      : "No readings were logged";
    const spread = missing(known ? "too-few-passes" : "not-logged", reason);
    return { spread, corrected: spread };
  }
  const residuals = directions.flatMap((readings) => {
    const middle = readings.length > 0 ? median(readings) : 0;
    return readings.map((reading) => reading - middle);
  });
  const value = interquartileRange(residuals);
  return {
    spread: number(value),
    corrected: number(value / noiseSpread(directions[0]!.length, directions[1]!.length)),
  };
}

function bestRepeatOf(readings: readonly number[]): SweepValue {
  const seen = new Map<number, number>();
  for (const reading of readings) seen.set(reading, (seen.get(reading) ?? 0) + 1);
  const repeats = [...seen].filter(([, times]) => times >= 2).map(([reading]) => reading);
  if (repeats.length > 0) return number(Math.max(...repeats));
  return missing("too-few-passes", `No reading was met twice in ${readings.length} single passes`);
}

/**
 * Turns one signal's passes into the handful of numbers that the models use.
 *
 * Silent passes are never readings. A range stands for its midpoint and a low-usual-high for its usual reading: they
 * count as one pass where a standard error is asked, and give no spread and no best repeat. Everything else that cannot
 * be told is a typed absence with its reason. Standard errors: the variance of one pass is the signal's own (about each
 * direction's mean) drawn towards the machine's repeat noise, which counts for 4 degrees of freedom (a fixed weight in
 * the way of Smyth 2004, Stat. Appl. Genet. Mol. Biol. 3:3), times the variance of each median.
 *
 * The corrected asymmetry and turn change tell how much farther apart two passes of different ways are than two of the same: their expectation
 * does not depend on how many passes were made. A way with one pass takes the machine's repeat noise for its scatter.
 * Throws RangeError for a repeat noise below 0.
 *
 * @example
 * ```ts
 * import { sweepFeatures } from "overiron";
 * const passes = (...readings: number[]) => ({ written: readings.join(" "), kind: "passes" as const, readings,
 *   silent: 0, passes: readings.length, approximate: false });
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "all", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const features = sweepFeatures({ right: passes(300, 304), left: passes(290, 294), cross: null }, { machine });
 * if (!("value" in features.asymmetry) || features.asymmetry.value !== 10) throw new Error("wrong asymmetry");
 * ```
 */
export function sweepFeatures(record: SweptPasses, options: SweepFeaturesOptions): SweepFeatures {
  const { machine, repeatNoise } = options;
  checkNoise(repeatNoise);
  const { right, left, cross } = record;
  const there = [right, left].filter(gaveNumbers);
  const logged = [right, left].filter((passes) => passes !== null);
  const nothing = nothingHeard(record);
  const single = [...singles(right), ...singles(left)];
  const variance = passVariance(record, options);

  const centre = centreOf(record, variance);
  const difference = (value: number, ...variances: readonly number[]): SweepNumber =>
    number(value, variance === null ? null : Math.sqrt(variance * variances.reduce((a, b) => a + b, 0)));
  const asymmetry = !gaveNumbers(right)
    ? absentDirection(right, "to the right")
    : !gaveNumbers(left)
    ? absentDirection(left, "to the left")
    : difference(middleOf(right) - middleOf(left), middleVariance(right), middleVariance(left));
  const turnChange = !gaveNumbers(cross)
    ? absentDirection(cross, "after a quarter turn")
    : !("value" in centre)
    ? centre
    : difference(
      middleOf(cross) - centre.value,
      middleVariance(cross),
      medianVariance(there.flatMap(standFor).length),
    );

  /** How much farther apart two kinds of passes are than passes of one kind; absent where `plain`, their difference, is. */
  const corrected = (
    plain: SweepValue,
    one: readonly (Passes | null)[],
    other: readonly (Passes | null)[],
  ) => {
    if (!("value" in plain)) return plain;
    const value = beyondScatter(
      one.filter(gaveNumbers).map(standFor),
      other.filter(gaveNumbers).map(standFor),
      repeatNoise,
    );
    return value !== null ? number(value) : missing(
      "too-few-passes",
      "A single pass one way does not show how passes scatter, and no repeat noise of the machine was given",
    );
  };

  const silent = logged.reduce((sum, passes) => sum + passes.silent, 0);
  const total = logged.every((passes) => passes.passes !== null)
    ? logged.reduce((sum, passes) => sum + passes.passes!, 0)
    : null;
  const uncounted = logged.length === 0
    ? nothing
    : missing("too-few-passes", "A summary of passes does not say how many there were");
  const { spread, corrected: spreadCorrected } = spreadOf(record);
  return {
    centre,
    spread,
    spreadCorrected,
    asymmetry,
    asymmetryCorrected: corrected(asymmetry, [right], [left]),
    turnChange,
    turnChangeCorrected: corrected(turnChange, [right, left], [cross]),
    dropout: total === null || total === 0 ? uncounted : number(silent / total),
    ironShare: single.length > 0
      ? number(single.filter((reading) => reading < machine.iron_break).length / single.length)
      : there.length > 0
      ? missing("too-few-passes", "A summary of passes does not say how many lay below the break")
      : nothing,
    bestRepeat: single.length > 0 || there.length > 0 ? bestRepeatOf(single) : nothing,
    passes: total === null ? uncounted : logged.length === 0 ? nothing : number(total),
  };
}
