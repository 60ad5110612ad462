import type { OutcomeClass, Season } from "../log/mod.ts";
import { type Absent, absent, bootstrapByCluster, type Estimate } from "../numbers/mod.ts";
import { hasValue, sweepCentre } from "../sweep/mod.ts";
import { armOf, armsOf, bandedScheme } from "./_arms.ts";
import { clusteredStatistic } from "./_clustered.ts";
import { bandOf } from "./band_of.ts";
import { type BestBreaks, bestBreaks } from "./best_breaks.ts";

/** Options of `betterBreaks`. */
export interface BetterBreaksOptions {
  /** Most bands allowed. Default 2. */
  readonly mostBands?: number;
  /** What a good target in a band that is left costs, in holes dug for iron. Default 4. */
  readonly goodMissed?: number;
  /** Outcomes that count as good; iron is "ferrous". Default masked goods and the other non-ferrous finds. */
  readonly good?: readonly Exclude<OutcomeClass, "ferrous">[];
  /** Seed of the bootstrap. Default 1. */
  readonly seed?: number;
  /** Level of the intervals. Default 0.95. */
  readonly level?: number;
  /** Replicates of the bootstrap. Default 1000. */
  readonly replicates?: number;
}

/** Breaks chosen for one machine and discrimination setting, and what they are worth on sites they were not chosen on. */
export interface BetterBreaks {
  readonly of: Readonly<Record<string, string>>;
  /** Chosen on all sites, or why none could be. */
  readonly chosen: BestBreaks | Absent;
  /** The lowest break chosen, with the interval of choosing again on redrawn sites. */
  readonly lowestBreak: Estimate;
  /** Cost a signal of one break, dig above it, at every step of the scale; lowest scale step first. */
  readonly singleBreak: readonly { readonly at: number; readonly cost: number }[];
  /** The machine's own breaks. */
  readonly ownBreaks: readonly number[];
  /** Cost of a signal under the machine's own breaks minus under chosen ones, in iron holes, on the signals they were chosen on. */
  readonly apparentGain: Estimate;
  /** The same on held-out sites: each site judged by breaks chosen, and own bands labelled, on the other sites. */
  readonly heldOutGain: Estimate;
  /** Apparent gain minus held-out gain: how far choosing on the same data flatters. */
  readonly optimism: Estimate;
  /** Share of the iron dug under chosen breaks minus under the machine's own, on held-out sites: the price. */
  readonly ironDugMore: Estimate;
  /** Share of the good dug under chosen breaks minus under the machine's own, on held-out sites. */
  readonly goodDugMore: Estimate;
  /** Dug signals with an outcome but without a number: no break can place them. */
  readonly withoutReading: number;
}

interface Row {
  readonly site: string;
  readonly reading: number;
  readonly good: boolean;
}

/** A verdict for every reading. */
type Rule = (reading: number) => boolean;

/**
 * Chooses tone breaks on a season's dug signals and tries them on sites that were not used to choose them, against the
 * machine's own.
 *
 * The reading of a signal is its centre. Both sides learn which of their bands to dig from the same sites (the cheaper
 * verdict for each band), so that only the breaks differ. Each site in turn is left out, breaks are chosen on the others
 * (`bestBreaks`) and its signals are judged; the gains are means over signals, with a bootstrap of whole sites. Breaks
 * learnt from dug signals know nothing of the signals that were left in the ground.
 *
 * Throws RangeError as `bestBreaks` does, and for a machine that is not in the machines list.
 *
 * @example
 * ```ts
 * import { betterBreaks } from "overiron";
 * if (betterBreaks({ machines: [], settings: [], signals: [] }).length !== 0) throw new Error("no signals, no rows");
 * ```
 */
export function betterBreaks(season: Season, options: BetterBreaksOptions = {}): BetterBreaks[] {
  const {
    mostBands = 2,
    goodMissed = 4,
    good = ["masked-good", "non-ferrous"],
    seed = 1,
    level = 0.95,
    replicates = 1000,
  } = options;
  return armsOf(season.machines, season.signals).map((arm): BetterBreaks => {
    const { machine } = arm;
    const own = bandedScheme(machine.tones, machine.iron_break);
    let withoutReading = 0;
    const rows = arm.rows.flatMap((signal): Row[] => {
      const outcome = signal.outcome.class;
      const isGood = outcome !== null && outcome !== "ferrous" && good.includes(outcome);
      if (outcome === null || (outcome !== "ferrous" && !isGood)) return [];
      const centre = sweepCentre(signal, { machine });
      if (hasValue(centre)) return [{ site: signal.site, reading: centre.value, good: isGood }];
      withoutReading++;
      return [];
    });
    const choose = (from: readonly Row[]): BestBreaks =>
      bestBreaks(
        from.filter((row) => row.good).map((row) => row.reading),
        from.filter((row) => !row.good).map((row) => row.reading),
        {
          mostBands,
          goodMissed,
          scale: machine.scale,
        },
      );
    const chosenRule = ({ breaks, digs }: BestBreaks): Rule => (reading) =>
      digs[breaks.filter((at) => at <= reading).length]!;
    const ownRule = (from: readonly Row[]): Rule => {
      const verdicts = own.bands.map((_, band) => {
        const inBand = from.filter(({ reading }) => bandOf(reading, own) === band);
        return goodMissed * inBand.filter((row) => row.good).length >
          inBand.filter((row) => !row.good).length;
      });
      return (reading) => verdicts[bandOf(reading, own)]!;
    };
    const n = { signals: rows.length };
    const sites = [...new Set(rows.map(({ site }) => site))].sort((a, b) => a < b ? -1 : 1);
    const base = { of: armOf(arm), ownBreaks: own.breaks, withoutReading };
    if (!rows.some((row) => row.good) || rows.every((row) => row.good)) {
      const none = absent("undefined", "Breaks need good targets and iron among the dug signals", n);
      return {
        ...base,
        chosen: none,
        lowestBreak: none,
        singleBreak: [],
        apparentGain: none,
        heldOutGain: none,
        optimism: none,
        ironDugMore: none,
        goodDugMore: none,
      };
    }
    const chosen = choose(rows);
    const [chosenHere, ownHere] = [chosenRule(chosen), ownRule(rows)];
    const cost = (row: Row, rule: Rule) =>
      row.good ? (rule(row.reading) ? 0 : goodMissed) : rule(row.reading) ? 1 : 0;
    const judged = sites.flatMap((site) => {
      const others = rows.filter((row) => row.site !== site);
      if (others.length === 0) return [];
      const [theirs, ours] = [ownRule(others), chosenRule(choose(others))];
      return rows.filter((row) => row.site === site).map((row) => ({
        row,
        apparent: cost(row, ownHere) - cost(row, chosenHere),
        heldOut: cost(row, theirs) - cost(row, ours),
        ours: ours(row.reading),
        theirs: theirs(row.reading),
      }));
    });
    const common = { seed, level, replicates, clusterWord: "site" };
    const mean = (name: string, of: (one: typeof judged[number]) => number): Estimate =>
      clusteredStatistic(
        judged.map((one) => ({ cluster: one.row.site, adds: [of(one), 1] })),
        (sums) => sums[1]! > 0 ? sums[0]! / sums[1]! : null,
        {
          ...common,
          name: `tones/better-breaks/${name}`,
          n,
          undefinedBecause: "Held-out sites need two sites or more",
        },
      );
    const dugMore = (name: string, isGood: boolean): Estimate => {
      const own = judged.filter(({ row }) => row.good === isGood);
      return clusteredStatistic(
        own.map((one) => ({ cluster: one.row.site, adds: [Number(one.ours) - Number(one.theirs), 1] })),
        (sums) => sums[1]! > 0 ? sums[0]! / sums[1]! : null,
        {
          ...common,
          name: `tones/better-breaks/${name}`,
          n: { [isGood ? "good targets" : "iron finds"]: own.length },
          undefinedBecause: "Held-out sites need two sites or more",
        },
      );
    };
    return {
      ...base,
      chosen,
      lowestBreak: lowestBreakOf(rows, choose, { seed, level, replicates: Math.min(replicates, 300) }),
      singleBreak: singleBreakCosts(rows, machine.scale, goodMissed),
      apparentGain: mean("apparent", (one) => one.apparent),
      heldOutGain: mean("held-out", (one) => one.heldOut),
      optimism: mean("optimism", (one) => one.apparent - one.heldOut),
      ironDugMore: dugMore("iron", false),
      goodDugMore: dugMore("good", true),
    };
  });
}

function lowestBreakOf(
  rows: readonly Row[],
  choose: (from: readonly Row[]) => BestBreaks,
  options: { seed: number; level: number; replicates: number },
): Estimate {
  const sites = rows.map(({ site }) => site);
  if (choose(rows).breaks.length === 0) {
    const n = { signals: rows.length, sites: new Set(sites).size };
    return absent("no break", "One band is cheapest at these costs: a break would bring nothing", n);
  }
  const estimate = bootstrapByCluster(
    sites,
    (drawn) => choose([...drawn].map((i) => rows[i]!)).breaks[0] ?? NaN,
    {
      ...options,
      name: "tones/better-breaks/lowest",
      rowUnit: "signals",
      clusterUnit: "sites",
      // A redrawn season may need no break at all.
      mostUndefined: 0.2,
    },
  );
  if (!("value" in estimate) || estimate.interval.low < estimate.interval.high) return estimate;
  return absent("no variation", "Every redrawn set of sites gives the same break", estimate.n);
}

/** Cost a signal when everything from a break on is dug, at each step of the scale. */
function singleBreakCosts(
  rows: readonly Row[],
  scale: { readonly low: number; readonly high: number; readonly step: number },
  goodMissed: number,
): { at: number; cost: number }[] {
  const sorted = [...rows].sort((a, b) => a.reading - b.reading);
  let cost = rows.filter((row) => !row.good).length;
  let next = 0;
  return Array.from({ length: Math.round((scale.high - scale.low) / scale.step) + 1 }, (_, i) => {
    const at = scale.low + i * scale.step;
    for (; next < sorted.length && sorted[next]!.reading < at; next++) {
      cost += sorted[next]!.good ? goodMissed : -1;
    }
    return { at, cost: cost / rows.length };
  });
}
