import type { Garden, ToneScheme } from "../log/mod.ts";
import { type Counts, type Estimate, present, studentQuantile, wilsonInterval } from "../numbers/mod.ts";
import { armOf } from "./_arms.ts";
import { clusteredShare, clusteredStatistic } from "./_clustered.ts";
import { type MaskedTrial, maskedTrials } from "./_masked_trials.ts";
import { gapClasses, gapClassOf, gapNotLogged } from "./gap_classes.ts";

/** Options of `bandsDropped`. */
export interface BandsDroppedOptions {
  /** Seed of the bootstrap. Default 1. */
  readonly seed?: number;
  /** Level of the intervals. Default 0.95. */
  readonly level?: number;
  /** Replicates of the bootstrap. Default 1000. */
  readonly replicates?: number;
  /** Gaps in centimetres at which one class ends and the next begins. Default 2, 4 and 8. */
  readonly gapEdgesCm?: readonly number[];
  /** Another scheme for a machine, by the machine's name. Default: each machine's own. */
  readonly schemes?: Readonly<Record<string, ToneScheme>>;
}

/** How far neighbours drop targets, for one machine and discrimination setting and one class of gaps. */
export interface BandsDropped {
  /** Machine, discrimination, gap class. */
  readonly of: Readonly<Record<string, string>>;
  /** Mean number of bands dropped; a rise counts as negative. Trials silent either way are not in it. */
  readonly bands: Estimate;
  /** Share of trials that lie a band or more lower than clean; a trial gone silent counts as lower. */
  readonly atLeastOne: Estimate;
  /** Share of trials, of those above the lowest band clean, that fall into the lowest band or go silent. */
  readonly intoLowest: Estimate;
  /** Trials in this class by the bands dropped (a rise is negative), "silent" where no pass gave a number beside the neighbour. */
  readonly counts: readonly { readonly dropped: number | "silent"; readonly trials: number }[];
}

/**
 * Measures how many tone bands a neighbour drops a target, by machine, discrimination setting and gap class.
 *
 * Trials and their clean bands are those of `cleanByTogether`; trials whose target is silent when clean are left out. A
 * scheme of one band has nothing to drop: every measure is then 0 or absent. Intervals: bootstrap of whole blocks; with
 * fewer than five blocks, or where they show no difference, the trials are taken as independent and the method says so
 * (Wilson for shares, Student's t for the mean).
 *
 * Throws RangeError as `cleanByTogether` does.
 *
 * @example
 * ```ts
 * import { bandsDropped } from "overiron";
 * if (bandsDropped({ machines: [], settings: [], trials: [] }).length !== 0) throw new Error("no trials, no rows");
 * ```
 */
export function bandsDropped(garden: Garden, options: BandsDroppedOptions = {}): BandsDropped[] {
  const { seed = 1, level = 0.95, replicates = 1000, gapEdgesCm = [2, 4, 8], schemes } = options;
  const classes = gapClasses(gapEdgesCm);
  const names = [...classes.map(({ name }) => name), gapNotLogged];
  const settings = { seed, level, replicates, clusterWord: "block" };
  return maskedTrials(garden, schemes).flatMap(({ arm, scheme, trials }) => {
    const silent = scheme.bands.length;
    const usable = trials.filter(({ cleanBand }) => cleanBand < silent);
    return names.flatMap((gap): BandsDropped[] => {
      const own = usable.filter(({ trial }) => gapClassOf(trial.gap_cm, classes) === gap);
      if (own.length === 0) return [];
      const sounding = own.filter(({ togetherBand }) => togetherBand < silent);
      const above = own.filter(({ cleanBand }) => cleanBand > 0);
      const part = (hit: boolean, { trial }: MaskedTrial) => ({
        cluster: trial.block,
        adds: [hit ? 1 : 0, 1],
      });
      const mean = clusteredStatistic(
        sounding.map((one) => ({ cluster: one.trial.block, adds: [one.cleanBand - one.togetherBand, 1] })),
        (sums) => sums[1]! > 0 ? sums[0]! / sums[1]! : null,
        {
          ...settings,
          name: "tones/bands-dropped",
          n: { trials: sounding.length },
          undefinedBecause: "No trial of this class gave a number both ways",
          fallback: (reason, n) => meanWithoutSpread(sounding, reason, n, level),
        },
      );
      return [{
        of: { ...armOf(arm), gap },
        bands: mean,
        atLeastOne: clusteredShare(
          own.map((one) => part(one.togetherBand === silent || one.togetherBand < one.cleanBand, one)),
          { ...settings, name: "tones/drops-one", unit: "trials" },
        ),
        intoLowest: clusteredShare(
          above.map((one) => part(one.togetherBand === silent || one.togetherBand === 0, one)),
          { ...settings, name: "tones/into-lowest", unit: "trials" },
        ),
        counts: countsOf(own, silent),
      }];
    });
  });
}

/** For blocks that are few or all alike: the trials taken as independent, or Wilson's limit where no trial differs. */
function meanWithoutSpread(
  trials: readonly MaskedTrial[],
  reason: string,
  n: Counts,
  level: number,
): Estimate {
  const drops = trials.map((one) => one.cleanBand - one.togetherBand);
  const value = drops.reduce((sum, drop) => sum + drop, 0) / drops.length;
  const squares = drops.reduce((sum, drop) => sum + (drop - value) ** 2, 0);
  if (squares === 0) {
    const reach = wilsonInterval(0, drops.length, { level }).high;
    const method = `Wilson's limit of trials a band off, taken as independent (${reason})`;
    return present(value, { low: value - reach, high: value + reach, level, method }, n);
  }
  const reach = studentQuantile((1 + level) / 2, drops.length - 1) *
    Math.sqrt(squares / (drops.length - 1) / drops.length);
  const method = `Student's t, trials taken as independent (${reason})`;
  return present(value, { low: value - reach, high: value + reach, level, method }, n);
}

function countsOf(trials: readonly MaskedTrial[], silent: number): BandsDropped["counts"] {
  const counts = new Map<number | "silent", number>();
  for (const { cleanBand, togetherBand } of trials) {
    const dropped = togetherBand === silent ? "silent" : cleanBand - togetherBand;
    counts.set(dropped, (counts.get(dropped) ?? 0) + 1);
  }
  const numbers = [...counts.keys()].filter((key) => key !== "silent").sort((a, b) => a - b);
  return [...numbers, ...counts.has("silent") ? ["silent" as const] : []].map((dropped) => ({
    dropped,
    trials: counts.get(dropped)!,
  }));
}
