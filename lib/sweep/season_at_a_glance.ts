import type { Outcome, Season, Signal } from "../log/mod.ts";
import { absent, chance, type Estimate, present, quantile, shareEstimate } from "../numbers/mod.ts";

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
  readonly finds: number;
  readonly good: number;
}

const byCodeUnit = (a: string, b: string): number => a < b ? -1 : a > b ? 1 : 0;

/**
 * Counts a season: what came of the signals, where and when, what the holes gave, and what was left in the ground.
 *
 * Everything adds up: a signal not dug, stopped, unknown, empty or a hazard is counted as what it is. A hole is a signal
 * dug to the end; signals with one `hole_id` on a site share a hole, and a find is counted once. A good find is one that
 * its finder marked to keep; hazards are none. Intervals by site come from a bootstrap of whole sites (Davison and
 * Hinkley 1997, section 3.8): with one site, or where the sites show no difference, shares get Wilson's interval and say
 * so. Only dug signals have an outcome: nothing here speaks for those left in the ground.
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
    ratioBySite(parts, { seed, level, replicates, name: `season/${name}`, unit, share });
  const called = (call: string, right: (row: OutcomeRow) => boolean) =>
    signals.filter((signal) => signal.my_call === call && signal.outcome.status === "known")
      .map((signal) => ({ site: signal.site, a: right(outcomeOf(signal)) ? 1 : 0, b: 1 }));
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
      holes.map(({ site, finds }) => ({ site, a: finds, b: 1 })),
      "finds-per-hole",
      "holes",
      false,
    ),
    goodCallNotIron: ratio(called("good", (row) => row !== "ferrous"), "good-call", "signals", true),
    ironCallIron: ratio(called("iron", (row) => row === "ferrous"), "iron-call", "signals", true),
    leftUndug: ratio(
      signals.map(({ site, dug }) => ({ site, a: dug === "no" ? 1 : 0, b: 1 })),
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
  const holes = new Map<string, { site: string; finds: Set<string>; good: Set<string> }>();
  for (const signal of signals) {
    if (signal.dug !== "yes") continue;
    const key = JSON.stringify(
      signal.hole_id ? [signal.site, "hole", signal.hole_id] : ["signal", signal.signal_id],
    );
    let hole = holes.get(key);
    if (!hole) holes.set(key, hole = { site: signal.site, finds: new Set(), good: new Set() });
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
  return [...holes.values()].map(({ site, finds, good }) => ({ site, finds: finds.size, good: good.size }));
}

/** Turns good finds a hole into holes a good find: the limits are turned with it. */
function holesPerGood(
  holes: readonly Hole[],
  ratio: (parts: readonly Part[], name: string, unit: string, share: boolean) => Estimate,
): Estimate {
  const good = holes.reduce((sum, hole) => sum + hole.good, 0);
  const sites = new Set(holes.map(({ site }) => site)).size;
  const n = { holes: holes.length, "good finds": good, sites };
  if (good === 0) return absent("no good find", "Holes for one good find need a good find", n);
  const rate = ratio(
    holes.map(({ site, good }) => ({ site, a: good, b: 1 })),
    "good-finds-per-hole",
    "holes",
    false,
  );
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

function ratioBySite(parts: readonly Part[], options: RatioOptions): Estimate {
  const { seed, level, replicates, name, unit, share } = options;
  const sums = new Map<string, [number, number]>();
  for (const { site, a, b } of parts) {
    const own = sums.get(site) ?? [0, 0];
    sums.set(site, [own[0] + a, own[1] + b]);
  }
  const sites = [...sums.keys()].sort(byCodeUnit).map((site) => sums.get(site)!);
  const [a, b] = sites.reduce(([x, y], [c, d]) => [x + c, y + d], [0, 0] as [number, number]);
  const n = { [unit]: parts.length, sites: sites.length };
  if (!(b > 0)) return absent(`no ${unit}`, `A ratio over no ${unit} does not exist`, n);
  const drawn: number[] = [];
  if (sites.length > 1) {
    for (let replicate = 0; replicate < replicates; replicate++) {
      const stream = chance(seed, name, replicate);
      let x = 0, y = 0;
      for (let i = 0; i < sites.length; i++) {
        const [c, d] = sites[stream.integer(sites.length)]!;
        x += c;
        y += d;
      }
      drawn.push(x / y);
    }
    const tail = (1 - level) / 2;
    const low = quantile(drawn, tail), high = quantile(drawn, 1 - tail);
    if (low < high || !share) {
      return present(a / b, { low, high, level, method: "bootstrap of whole sites, percentiles" }, n);
    }
  }
  if (!share) return absent("one site", "An interval by site needs two sites or more", n);
  const alone = shareEstimate(a, b, { unit, level });
  if (!("value" in alone)) return alone;
  const why = sites.length < 2 ? "one site" : "sites show no difference";
  return present(
    alone.value,
    { ...alone.interval, method: `Wilson, ${unit} taken as independent (${why})` },
    n,
  );
}
