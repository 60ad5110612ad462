import type { Season, Signal } from "../log/mod.ts";
import { type Estimate, isPresent, present } from "../numbers/mod.ts";
import { hasValue, sweepCentre } from "../sweep/mod.ts";
import { type Arm, armOf, armsOf } from "./_arms.ts";
import { clusteredDifference, clusteredShare } from "./_clustered.ts";

/** Options of `signalsAboveBreak`. */
export interface SignalsAboveBreakOptions {
  /** Seed of the bootstrap. Default 1. */
  readonly seed?: number;
  /** Level of the intervals. Default 0.95. */
  readonly level?: number;
  /** Replicates of the bootstrap. Default 1000. */
  readonly replicates?: number;
}

/** How often the dug signals of one machine and discrimination setting sounded above the iron break, by outcome. */
export interface SignalsAboveBreak {
  readonly of: Readonly<Record<string, string>>;
  readonly ironBreak: number;
  /** Share of masked goods whose centre is on or above the break. */
  readonly maskedGood: Estimate;
  /** Share of the other non-ferrous finds. */
  readonly nonFerrous: Estimate;
  /** Share of iron: iron that reads high. */
  readonly ferrous: Estimate;
  /** Youden's J: share of masked goods above the break minus share of iron above it; 0 tells nothing, 1 tells all. */
  readonly youden: Estimate;
  /** Balanced accuracy of "above the break is a masked good, below it is iron": one half tells nothing, 1 all. */
  readonly balancedAccuracy: Estimate;
}

/**
 * Measures how often a masked good sounds above the iron break, and how often iron does.
 *
 * Only dug signals with a known outcome count. The reading is the centre; on the break counts as above; a signal whose
 * passes were all silent counts as not above, one without logged readings is left out. Intervals: bootstrap of whole
 * sites; with fewer than five sites, or where they show no difference, Wilson's interval (for J Newcombe's method 10)
 * stands in and says so. Youden's J: Youden (1950), Cancer 3:32. Nothing here speaks of signals that were left in the ground.
 *
 * Throws RangeError for a machine that is not in the machines list.
 *
 * @example
 * ```ts
 * import { signalsAboveBreak } from "overiron";
 * if (signalsAboveBreak({ machines: [], settings: [], signals: [] }).length !== 0) throw new Error("no signals, no rows");
 * ```
 */
export function signalsAboveBreak(
  season: Season,
  options: SignalsAboveBreakOptions = {},
): SignalsAboveBreak[] {
  const { seed = 1, level = 0.95, replicates = 1000 } = options;
  const settings = { seed, level, replicates, clusterWord: "site" };
  return armsOf(season.machines, season.signals).map((arm) => {
    const dug = readingsOf(arm);
    const share = (outcome: string): Estimate => {
      const own = dug.filter((one) => one.outcome === outcome);
      return clusteredShare(
        own.map(({ site, above }) => ({ cluster: site, adds: [above ? 1 : 0, 1] })),
        { ...settings, name: `tones/above-break/${outcome}`, unit: "signals" },
      );
    };
    const both = dug.filter(({ outcome }) => outcome !== "non-ferrous");
    const youden = clusteredDifference(
      both.map(({ site, above, outcome }) => ({
        cluster: site,
        adds: outcome === "masked-good" ? [above ? 1 : 0, 1, 0, 0] : [0, 0, above ? 1 : 0, 1],
      })),
      {
        ...settings,
        name: "tones/above-break/youden",
        units: ["masked goods", "iron finds"],
        undefinedBecause: "Youden's J needs a masked good and an iron find among the dug signals",
      },
    );
    return {
      of: armOf(arm),
      ironBreak: arm.machine.iron_break,
      maskedGood: share("masked-good"),
      nonFerrous: share("non-ferrous"),
      ferrous: share("ferrous"),
      youden,
      balancedAccuracy: halfWayFrom(youden),
    };
  });
}

/** Balanced accuracy from Youden's J, of which it is a linear map: (J + 1) / 2. */
function halfWayFrom(youden: Estimate): Estimate {
  if (!isPresent(youden)) return youden;
  const { value, interval, n } = youden;
  return present((value + 1) / 2, {
    ...interval,
    low: (interval.low + 1) / 2,
    high: (interval.high + 1) / 2,
  }, n);
}

function readingsOf(arm: Arm<Signal>): { site: string; outcome: string; above: boolean }[] {
  return arm.rows.flatMap((signal) => {
    const { status, class: outcome } = signal.outcome;
    if (status !== "known" || outcome === null) return [];
    const centre = sweepCentre(signal, { machine: arm.machine });
    if (!hasValue(centre) && centre.absent !== "silent") return [];
    return [{
      site: signal.site,
      outcome,
      above: hasValue(centre) && centre.value >= arm.machine.iron_break,
    }];
  });
}
