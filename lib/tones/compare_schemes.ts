import type { Garden, Machine, Season, Signal, ToneScheme, Trial } from "../log/mod.ts";
import { type Absent, absent, type Estimate, type McnemarResult, mcnemarTest } from "../numbers/mod.ts";
import { hasValue, sweepCentre } from "../sweep/mod.ts";
import { type Arm, armOf, armsOf, bandedScheme } from "./_arms.ts";
import { cleanReadings } from "./_clean_reading.ts";
import { clusteredShare, clusteredStatistic } from "./_clustered.ts";
import { bandOf } from "./band_of.ts";
import { checkToneScheme } from "./check_tone_scheme.ts";
import { exampleToneSchemes } from "./example_tone_schemes.ts";

/** Options of `compareSchemes` and `compareSchemesInGarden`. */
export interface CompareSchemesOptions {
  /** Schemes to try on a machine, by its name. Default: the example schemes made for a scale like the machine's. */
  readonly schemes?: Readonly<Record<string, readonly ToneScheme[]>>;
  /** Seed of the bootstrap. Default 1. */
  readonly seed?: number;
  /** Level of the intervals. Default 0.95. */
  readonly level?: number;
  /** Replicates of the bootstrap. Default 1000. */
  readonly replicates?: number;
}

/** What one scheme does with the readings of a season, beside the machine's own scheme. */
export interface SchemeComparison {
  /** Machine, discrimination, scheme. */
  readonly of: Readonly<Record<string, string>>;
  readonly bands: number;
  /** True for the machine's own scheme, with which the others are compared. */
  readonly own: boolean;
  /** Share of the dug masked goods that sound above the lowest band. */
  readonly maskedHeard: Estimate;
  /** Share of the dug iron that does. */
  readonly ironHeard: Estimate;
  /** Of the masked goods and the iron in the band next above the lowest, the share that is masked goods. */
  readonly nextIsGood: Estimate;
  /** Paired: share of masked goods heard here minus under the machine's own scheme. */
  readonly maskedDifference: Estimate;
  /** Paired: share of iron heard here minus under the machine's own scheme. */
  readonly ironDifference: Estimate;
  /** Masked goods heard under one of the two schemes only, tested; signals taken as independent. */
  readonly maskedTest: McnemarResult | Absent;
}

/** What one scheme does with the trials of a garden, beside the machine's own scheme. */
export interface GardenSchemeComparison {
  /** Machine, discrimination, scheme. */
  readonly of: Readonly<Record<string, string>>;
  readonly bands: number;
  readonly own: boolean;
  /** Share of the trials, all gaps, whose target sounds in another band beside the neighbour than clean, or not at all. */
  readonly moved: Estimate;
  /** Mean number of bands dropped, trials with a number both ways; a rise counts as negative. */
  readonly dropped: Estimate;
  /** Paired: share moved here minus under the machine's own scheme. */
  readonly movedDifference: Estimate;
}

/** The machine's own scheme, then those to compare with it: same scale, each checked against it. */
function schemesFor(
  machine: Machine,
  schemes: CompareSchemesOptions["schemes"],
): { scheme: ToneScheme; own: boolean }[] {
  const { scale } = machine;
  const others = schemes?.[machine.machine] ??
    exampleToneSchemes().filter((one) =>
      one.scale.low === scale.low && one.scale.high === scale.high && one.ironBreak === machine.iron_break
    ).map(({ scheme }) => scheme);
  return [
    { scheme: machine.tones, own: true },
    ...others.map((scheme) => ({ scheme: checkToneScheme(scheme, { scale }), own: false })),
  ].map(({ scheme, own }) => ({ scheme: bandedScheme(scheme, machine.iron_break), own }));
}

const ofScheme = (arm: Arm<unknown>, scheme: ToneScheme, own: boolean): Record<string, string> => ({
  ...armOf(arm),
  scheme: own ? `own: ${scheme.name}` : scheme.name,
});

/** Share of hits here minus share of hits under the own scheme, on the same rows. */
function pairedDifference(
  rows: readonly { readonly cluster: string; readonly here: boolean; readonly own: boolean }[],
  options: {
    seed: number;
    level: number;
    replicates: number;
    clusterWord: string;
    name: string;
    unit: string;
  },
): Estimate {
  const { unit, ...rest } = options;
  if (rows.length > 0 && rows.every(({ here, own }) => here === own)) {
    const clusters = new Set(rows.map(({ cluster }) => cluster)).size;
    const n = { [unit]: rows.length, [`${rest.clusterWord}s`]: clusters };
    return absent("the same", `The two schemes do not differ on any of the ${unit}`, n);
  }
  return clusteredStatistic(
    rows.map(({ cluster, here, own }) => ({ cluster, adds: [Number(here) - Number(own), 1] })),
    (sums) => sums[1]! > 0 ? sums[0]! / sums[1]! : null,
    { ...rest, n: { [unit]: rows.length }, undefinedBecause: `A share of no ${unit} does not exist` },
  );
}

/**
 * Compares tone schemes on the same readings of a season: how often masked goods and iron sound above the lowest band, and
 * what the band next to it holds.
 *
 * Only dug signals with a known outcome count; the band is that of the centre, a silent signal is not heard. Differences
 * are paired, signal by signal, with the machine's own scheme; intervals from a bootstrap of whole sites. Schemes that
 * share their lowest break hear the same signals: their differences are then absent ("the same"). McNemar's test takes
 * the signals as independent, which signals of one site are not quite.
 *
 * Throws RangeError for a scheme that does not fit the machine's scale or a machine that is not in the machines list.
 *
 * @example
 * ```ts
 * import { compareSchemes } from "overiron";
 * if (compareSchemes({ machines: [], settings: [], signals: [] }).length !== 0) throw new Error("no signals, no rows");
 * ```
 */
export function compareSchemes(season: Season, options: CompareSchemesOptions = {}): SchemeComparison[] {
  const { schemes, seed = 1, level = 0.95, replicates = 1000 } = options;
  const common = { seed, level, replicates, clusterWord: "site" };
  return armsOf(season.machines, season.signals).flatMap((arm) => {
    const rows = dugReadings(arm);
    const all = schemesFor(arm.machine, schemes);
    const bandIn = (reading: number | null, scheme: ToneScheme) =>
      reading === null ? -1 : bandOf(reading, scheme);
    const own = all[0]!.scheme;
    return all.map(({ scheme, own: isOwn }, i): SchemeComparison => {
      const heard = (outcome: string) =>
        rows.filter((row) => row.outcome === outcome).map(({ site, reading }) => ({
          cluster: site,
          here: bandIn(reading, scheme) > 0,
          own: bandIn(reading, own) > 0,
        }));
      const [masked, iron] = [heard("masked-good"), heard("ferrous")];
      const share = (of: typeof masked, name: string) =>
        clusteredShare(of.map(({ cluster, here }) => ({ cluster, adds: [here ? 1 : 0, 1] })), {
          ...common,
          name: `tones/schemes/${name}/${i}`,
          unit: "signals",
        });
      const next = rows.filter(({ outcome, reading }) =>
        outcome !== "non-ferrous" && bandIn(reading, scheme) === 1
      );
      return {
        of: ofScheme(arm, scheme, isOwn),
        bands: scheme.bands.length,
        own: isOwn,
        maskedHeard: share(masked, "masked"),
        ironHeard: share(iron, "iron"),
        nextIsGood: clusteredShare(
          next.map(({ site, outcome }) => ({ cluster: site, adds: [outcome === "masked-good" ? 1 : 0, 1] })),
          { ...common, name: `tones/schemes/next/${i}`, unit: "signals" },
        ),
        maskedDifference: pairedDifference(masked, {
          ...common,
          name: `tones/schemes/masked-difference/${i}`,
          unit: "signals",
        }),
        ironDifference: pairedDifference(iron, {
          ...common,
          name: `tones/schemes/iron-difference/${i}`,
          unit: "signals",
        }),
        maskedTest: mcnemarTest(
          masked.filter((one) => one.here && !one.own).length,
          masked.filter((one) => one.own && !one.here).length,
        ),
      };
    });
  });
}

function dugReadings(arm: Arm<Signal>): { site: string; outcome: string; reading: number | null }[] {
  return arm.rows.flatMap((signal) => {
    if (signal.outcome.class === null) return [];
    const centre = sweepCentre(signal, { machine: arm.machine });
    if (!hasValue(centre) && centre.absent !== "silent") return [];
    return [{
      site: signal.site,
      outcome: signal.outcome.class,
      reading: hasValue(centre) ? centre.value : null,
    }];
  });
}

/**
 * Compares tone schemes on the same trials of a garden: how often a neighbour moves a target into another band.
 *
 * Trials and clean readings are those of `cleanByTogether`; targets silent when clean are left out. A scheme with more
 * bands moves more often by its nature: read `moved` beside the number of bands. Intervals from a bootstrap of whole blocks.
 *
 * Throws RangeError as `compareSchemes` does.
 *
 * @example
 * ```ts
 * import { compareSchemesInGarden } from "overiron";
 * if (compareSchemesInGarden({ machines: [], settings: [], trials: [] }).length !== 0) throw new Error("no trials, no rows");
 * ```
 */
export function compareSchemesInGarden(
  garden: Garden,
  options: CompareSchemesOptions = {},
): GardenSchemeComparison[] {
  const { schemes, seed = 1, level = 0.95, replicates = 1000 } = options;
  const common = { seed, level, replicates, clusterWord: "block" };
  return armsOf(garden.machines, garden.trials).flatMap((arm) => {
    const pairs = bothReadings(arm);
    if (pairs.length === 0) return [];
    const all = schemesFor(arm.machine, schemes);
    const moves = (scheme: ToneScheme) =>
      pairs.map(({ clean, together }) =>
        together === null || bandOf(clean, scheme) !== bandOf(together, scheme)
      );
    const own = moves(all[0]!.scheme);
    return all.map(({ scheme, own: isOwn }, i): GardenSchemeComparison => {
      const here = moves(scheme);
      const sounding = pairs.filter((pair) => pair.together !== null);
      return {
        of: ofScheme(arm, scheme, isOwn),
        bands: scheme.bands.length,
        own: isOwn,
        moved: clusteredShare(pairs.map(({ block }, j) => ({ cluster: block, adds: [here[j] ? 1 : 0, 1] })), {
          ...common,
          name: `tones/schemes/moved/${i}`,
          unit: "trials",
        }),
        dropped: clusteredStatistic(
          sounding.map(({ block, clean, together }) => ({
            cluster: block,
            adds: [bandOf(clean, scheme) - bandOf(together!, scheme), 1],
          })),
          (sums) => sums[1]! > 0 ? sums[0]! / sums[1]! : null,
          {
            ...common,
            name: `tones/schemes/dropped/${i}`,
            n: { trials: sounding.length },
            undefinedBecause: "No trial gave a number both ways",
          },
        ),
        movedDifference: pairedDifference(
          pairs.map(({ block }, j) => ({ cluster: block, here: here[j]!, own: own[j]! })),
          { ...common, name: `tones/schemes/moved-difference/${i}`, unit: "trials" },
        ),
      };
    });
  });
}

function bothReadings(arm: Arm<Trial>): { block: string; clean: number; together: number | null }[] {
  const clean = cleanReadings(arm.rows, arm.machine);
  return arm.rows.flatMap((trial) => {
    const alone = clean.get(trial.trial_id)?.reading;
    if (typeof alone !== "number") return [];
    const centre = sweepCentre(trial, { machine: arm.machine });
    if (!hasValue(centre) && centre.absent !== "silent") return [];
    return [{ block: trial.block, clean: alone, together: hasValue(centre) ? centre.value : null }];
  });
}
