import type { Outcome, Season, Signal } from "../log/mod.ts";
import { absent, bootstrapByCluster, type Estimate, present, shareEstimate } from "../numbers/mod.ts";

/** What can have come of a signal: the three outcomes, then the reasons why a signal has none. */
export const outcomeRows = [
  "ferrous",
  "masked-good",
  "non-ferrous",
  "unknown",
  "nothing-found",
  "stopped",
  "hazard",
  "not-dug",
] as const;

/** One of {@link outcomeRows}. */
export type OutcomeRow = typeof outcomeRows[number];

/** The person's own call before the dig, and the signals on which none was logged. */
export const callRows = ["good", "iron", "cannot-say", "not logged"] as const;

/**
 * Gives the row of a season's tables that a signal belongs to: the class where the outcome is known, else its status.
 *
 * @example
 * ```ts
 * import { outcomeRow } from "overiron";
 * if (outcomeRow({ status: "hazard", class: null, grade: null }) !== "hazard") throw new Error("wrong");
 * ```
 */
export function outcomeRow(outcome: Outcome): OutcomeRow {
  if (outcome.status !== "known") return outcome.status;
  return outcome.class ?? "unknown";
}

/** A table of counts of signals. */
export interface SignalCounts {
  readonly rows: readonly string[];
  readonly columns: readonly string[];
  /** One row of counts a row name. */
  readonly counts: readonly (readonly number[])[];
}

/** The holes of one site and what they gave. */
export interface SiteHoles {
  readonly site: string;
  readonly signals: number;
  readonly holes: number;
  readonly finds: number;
  readonly goodFinds: number;
  /** Share of the holes that held a good find; Wilson's interval, holes taken as independent. */
  readonly goodHoles: Estimate;
}

/** A season's counts. Every table of signals adds up to `signals`. */
export interface SeasonAtAGlance {
  readonly signals: number;
  /** Signals by what came of them, in the order of {@link outcomeRows}. */
  readonly outcomes: readonly { readonly outcome: OutcomeRow; readonly signals: number }[];
  /** Outcome by site, sites in code-unit order. */
  readonly bySite: SignalCounts;
  /** Outcome by month (YYYY-MM), then "not dated" where a signal has no date. */
  readonly byMonth: SignalCounts;
  /** Own call by outcome. */
  readonly callByOutcome: SignalCounts;
  /** Own call by what was done: dug, stopped, left in the ground. */
  readonly callByDug: SignalCounts;
  /** Holes dug to the end by the number of finds in them: 0, 1, 2, 3 or more. */
  readonly findsPerHole: readonly { readonly finds: string; readonly holes: number }[];
  readonly holes: number;
  readonly finds: number;
  /** Finds marked as worth keeping, and a stated masked good whose find was not written down. */
  readonly goodFinds: number;
  readonly sites: readonly SiteHoles[];
  /** Holes dug for one good find; bootstrap of whole sites. */
  readonly holesPerGoodFind: Estimate;
  /** Finds a hole; bootstrap of whole sites. */
  readonly meanFindsPerHole: Estimate;
  /** Of the signals called good and dug with a known outcome, the share that was not iron; bootstrap of whole sites. */
  readonly goodCallNotIron: Estimate;
  /** Of the signals called iron and dug with a known outcome, the share that was iron; bootstrap of whole sites. */
  readonly ironCallIron: Estimate;
  /** Share of all signals left in the ground; bootstrap of whole sites. */
  readonly leftUndug: Estimate;
}

/** Options of `seasonAtAGlance`. */
export interface SeasonAtAGlanceOptions {
  /** Seed of the bootstrap. Default 1. */
  readonly seed?: number;
  /** Level of the intervals. Default 0.95. */
  readonly level?: number;
  /** Replicates of the bootstrap. Default 2000. */
  readonly replicates?: number;
}

/** What was asked of, and found in, one hole. Signals that share a hole share one of these. */
interface Hole {
  readonly site: string;
  readonly outing: string;
  readonly finds: number;
  readonly good: number;
}

/** Fewest sites, or outings, that an interval is drawn from. */
const leastClusters = 5;

const byCodeUnit = (a: string, b: string): number => a < b ? -1 : a > b ? 1 : 0;

/**
 * Counts a season: what came of the signals, where and when, what the holes gave, and what was left in the ground.
 *
 * Everything adds up: a signal not dug, stopped, unknown, empty or a hazard is counted as what it is. A hole is a signal
 * dug to the end; signals with one `hole_id` on a site share a hole, and a find is counted once. A good find is one that
 * its finder marked to keep; hazards are none. Intervals come from a bootstrap of whole sites, or of
 * whole outings where there are fewer than five sites (the method says which); with fewer than five outings, or where they
 * show no difference, shares get Wilson's interval and other ratios are absent. Only dug signals have an outcome: nothing
 * here speaks for those left in the ground.
 *
 * Throws RangeError for a level outside 0 to 1 or replicates below 100.
 *
 * @example
 * ```ts
 * import { seasonAtAGlance } from "overiron";
 * const glance = seasonAtAGlance({ machines: [], settings: [], signals: [] });
 * if (glance.signals !== 0 || !("absent" in glance.holesPerGoodFind)) throw new Error("wrong");
 * ```
 */
export function seasonAtAGlance(season: Season, options: SeasonAtAGlanceOptions = {}): SeasonAtAGlance {
  const { seed = 1, level = 0.95, replicates = 2000 } = options;
  if (!(level > 0 && level < 1)) {
    throw new RangeError(`Cannot count season: level must lie between 0 and 1, got ${level}`);
  }
  if (!(Number.isSafeInteger(replicates) && replicates >= 100)) {
    throw new RangeError(`Cannot count season: replicates must be 100 or more, got ${replicates}`);
  }
  const { signals } = season;
  const siteNames = [...new Set(signals.map(({ site }) => site))].sort(byCodeUnit);
  const outcomeOf = (signal: Signal) => outcomeRow(signal.outcome);
  const callOf = (signal: Signal) => signal.my_call ?? "not logged";
  const monthOf = (signal: Signal) => signal.date?.slice(0, 7) ?? "not dated";
  const months = [...new Set(signals.map(monthOf))].sort((a, b) =>
    a === "not dated" ? 1 : b === "not dated" ? -1 : byCodeUnit(a, b)
  );
  const holes = holesOf(signals);
  const total = (of: readonly Hole[], part: "finds" | "good") =>
    of.reduce((sum, hole) => sum + hole[part], 0);
  const ratio = (parts: readonly Part[], name: string, unit: string, share: boolean) =>
    clusteredRatio(parts, { seed, level, replicates, name: `season/${name}`, unit, share });
  const called = (call: string, right: (row: OutcomeRow) => boolean) =>
    signals.filter((signal) => signal.my_call === call && signal.outcome.status === "known")
      .map((signal) => ({
        site: signal.site,
        outing: signal.outing_id,
        a: right(outcomeOf(signal)) ? 1 : 0,
        b: 1,
      }));
  return {
    signals: signals.length,
    outcomes: outcomeRows.map((outcome) => ({
      outcome,
      signals: signals.filter((signal) => outcomeOf(signal) === outcome).length,
    })),
    bySite: crossCount(signals, siteNames, outcomeRows, ({ site }) => site, outcomeOf),
    byMonth: crossCount(signals, months, outcomeRows, monthOf, outcomeOf),
    callByOutcome: crossCount(signals, callRows, outcomeRows, callOf, outcomeOf),
    callByDug: crossCount(
      signals,
      callRows,
      ["dug", "stopped", "left in the ground"],
      callOf,
      ({ dug }) => dug === "yes" ? "dug" : dug === "stopped" ? "stopped" : "left in the ground",
    ),
    findsPerHole: ["0", "1", "2", "3 or more"].map((finds, i) => ({
      finds,
      holes: holes.filter((hole) => Math.min(hole.finds, 3) === i).length,
    })),
    holes: holes.length,
    finds: total(holes, "finds"),
    goodFinds: total(holes, "good"),
    sites: siteNames.map((site) => {
      const own = holes.filter((hole) => hole.site === site);
      return {
        site,
        signals: signals.filter((signal) => signal.site === site).length,
        holes: own.length,
        finds: total(own, "finds"),
        goodFinds: total(own, "good"),
        goodHoles: shareEstimate(own.filter(({ good }) => good > 0).length, own.length, {
          unit: "holes",
          level,
        }),
      };
    }),
    holesPerGoodFind: holesPerGood(holes, ratio),
    meanFindsPerHole: ratio(
      holes.map(({ site, outing, finds }) => ({ site, outing, a: finds, b: 1 })),
      "finds-per-hole",
      "holes",
      false,
    ),
    goodCallNotIron: ratio(called("good", (row) => row !== "ferrous"), "good-call", "signals", true),
    ironCallIron: ratio(called("iron", (row) => row === "ferrous"), "iron-call", "signals", true),
    leftUndug: ratio(
      signals.map(({ site, outing_id: outing, dug }) => ({ site, outing, a: dug === "no" ? 1 : 0, b: 1 })),
      "left-undug",
      "signals",
      true,
    ),
  };
}

function crossCount(
  signals: readonly Signal[],
  rows: readonly string[],
  columns: readonly string[],
  rowOf: (signal: Signal) => string,
  columnOf: (signal: Signal) => string,
): SignalCounts {
  const counts = rows.map(() => columns.map(() => 0));
  for (const signal of signals) counts[rows.indexOf(rowOf(signal))]![columns.indexOf(columnOf(signal))]!++;
  return { rows, columns, counts };
}

function holesOf(signals: readonly Signal[]): Hole[] {
  const holes = new Map<string, { site: string; outing: string; finds: Set<string>; good: Set<string> }>();
  for (const signal of signals) {
    if (signal.dug !== "yes") continue;
    const key = JSON.stringify(
      signal.hole_id ? [signal.site, "hole", signal.hole_id] : ["signal", signal.signal_id],
    );
    let hole = holes.get(key);
    if (!hole) {
      holes.set(
        key,
        hole = { site: signal.site, outing: signal.outing_id, finds: new Set(), good: new Set() },
      );
    }
    for (const find of signal.finds) {
      hole.finds.add(find.find_id);
      if (find.keep === "yes") hole.good.add(find.find_id);
    }
    // A log may state a masked good without writing the find down.
    if (signal.finds.length === 0 && signal.outcome.class === "masked-good") {
      hole.finds.add(`stated ${signal.signal_id}`);
      hole.good.add(`stated ${signal.signal_id}`);
    }
  }
  return [...holes.values()].map(({ site, outing, finds, good }) => ({
    site,
    outing,
    finds: finds.size,
    good: good.size,
  }));
}

/** Turns good finds a hole into holes a good find: the limits are turned with it. */
function holesPerGood(
  holes: readonly Hole[],
  ratio: (parts: readonly Part[], name: string, unit: string, share: boolean) => Estimate,
): Estimate {
  const good = holes.reduce((sum, hole) => sum + hole.good, 0);
  const rate = ratio(
    holes.map(({ site, outing, good }) => ({ site, outing, a: good, b: 1 })),
    "good-finds-per-hole",
    "holes",
    false,
  );
  const n = { ...rate.n, "good finds": good };
  if (good === 0) return absent("no good find", "Holes for one good find need a good find", n);
  if (!("value" in rate)) return { ...rate, n };
  const { low, high, level, method } = rate.interval;
  if (!(low > 0)) {
    return absent("no upper limit", "So few sites gave a good find that no upper limit can be told", n);
  }
  return present(1 / rate.value, { low: 1 / high, high: 1 / low, level, method }, n);
}

/** One observation of a ratio of sums: `a` above the line, `b` below it. */
interface Part {
  readonly site: string;
  readonly outing: string;
  readonly a: number;
  readonly b: number;
}

interface RatioOptions {
  readonly seed: number;
  readonly level: number;
  readonly replicates: number;
  readonly name: string;
  readonly unit: string;
  /** A share of units, for which Wilson's interval can stand in. */
  readonly share: boolean;
}

/** A ratio of sums with an interval by site, by outing where sites are fewer than five, else Wilson's for a share. */
function clusteredRatio(parts: readonly Part[], options: RatioOptions): Estimate {
  const { unit, share, ...bootstrap } = options;
  const a = parts.reduce((sum, part) => sum + part.a, 0), b = parts.reduce((sum, part) => sum + part.b, 0);
  const sites = new Set(parts.map(({ site }) => site)).size;
  const n = { [unit]: parts.length, sites };
  if (!(b > 0)) return absent(`no ${unit}`, `A ratio over no ${unit} does not exist`, n);
  const outings = sumsBy(parts, ({ site, outing }) => JSON.stringify([site, outing]));
  const clusters = sites >= leastClusters ? sumsBy(parts, ({ site }) => site) : outings;
  const clusterUnit = sites >= leastClusters ? "sites" : "outings";
  const counts = clusterUnit === "sites" ? n : { ...n, outings: outings.length };
  const few = clusters.length < leastClusters;
  const estimate = bootstrapByCluster(
    clusters.map((_, i) => i),
    (rows) => {
      let x = 0, y = 0;
      for (const row of rows) {
        x += clusters[row]![0];
        y += clusters[row]![1];
      }
      return x / y;
    },
    { ...bootstrap, clusterUnit, leastClusters },
  );
  if ("value" in estimate && estimate.interval.low < estimate.interval.high) {
    const { method } = estimate.interval;
    return present(a / b, {
      ...estimate.interval,
      method: clusterUnit === "sites" ? method : `${method} (fewer than ${leastClusters} sites)`,
    }, counts);
  }
  if (share) {
    const alone = shareEstimate(a, b, { unit, level: options.level });
    if (!("value" in alone)) return alone;
    const why = few ? `fewer than ${leastClusters} sites and outings` : `${clusterUnit} show no difference`;
    return present(alone.value, {
      ...alone.interval,
      method: `Wilson, ${unit} taken as independent (${why})`,
    }, counts);
  }
  if (!("value" in estimate)) return { ...estimate, n: counts };
  return absent(
    "no variation",
    `The ${clusterUnit} show no difference from which an interval could be told`,
    counts,
  );
}

/** Sums of both parts of the ratio by cluster, clusters in code-unit order. */
function sumsBy(parts: readonly Part[], key: (part: Part) => string): (readonly [number, number])[] {
  const sums = new Map<string, readonly [number, number]>();
  for (const part of parts) {
    const own = sums.get(key(part)) ?? [0, 0];
    sums.set(key(part), [own[0] + part.a, own[1] + part.b]);
  }
  return [...sums.keys()].sort(byCodeUnit).map((name) => sums.get(name)!);
}
