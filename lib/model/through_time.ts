import { type Absent, absent, type Counts, type Estimate } from "../numbers/mod.ts";
import { checkFit, type Classifier, outcomeCountsOf } from "./classifier.ts";
import { takeRows } from "./feature_table.ts";
import { ratioBySite } from "./ratio_by_site.ts";
import type { LearningTable } from "./season_tables.ts";

/** What an engine that learnt from the early months makes of the later ones. */
export interface ThroughTime {
  /** First and last month learnt from, "YYYY-MM". */
  readonly early: readonly [string, string];
  /** First and last month judged. */
  readonly late: readonly [string, string];
  readonly learntFrom: number;
  readonly judged: number;
  /** Of those judged, how many lie at a site that was learnt from. */
  readonly atKnownSites: number;
  /** Log loss on the later signals. */
  readonly logLoss: Estimate;
  /** By how much it lies under that of the early months' shares of outcomes, signal by signal; below 0 the engine did worse. */
  readonly underBaseRates: Estimate;
  /** By how much it lies above that of models that learnt from other sites of all months, signal by signal. Absent without such chances. */
  readonly aboveOtherSites: Estimate;
}

/** Options of {@link throughTime}. */
export interface ThroughTimeOptions {
  readonly seed: number;
  readonly engine: Classifier;
  /** What knows nothing of a signal, to be held against. */
  readonly baseRates: Classifier;
  /** The engine's out-of-fold chances for all rows, n x 3. Optional. */
  readonly outOfFold?: Float64Array;
  /** Share of the signals to learn from; the cut between months nearest to it is taken. Default two thirds. */
  readonly learn?: number;
}

/** Fewest ferrous, and fewest others, to learn from; fewest signals to judge. */
const LEAST = 20;

/** Fewest sites to judge at: with two an interval by site says nothing. */
const LEAST_SITES = 3;

/**
 * Runs an engine through time: it learns from the early months and judges the later ones, as it would have to in use.
 *
 * The cut lies between two months, since the data may state months only, and no day is shown. Intervals are by site of the later
 * signals. Sites may be on both sides; how many signals that holds for is counted. Absent, with its reason, where a signal has no date, where
 * there is one month, and where the early part has under 20 ferrous or 20 others, or the later under 20 signals or 3 sites. Throws RangeError for a
 * share not within 0..1 or as the engine does.
 *
 * @example
 * ```ts
 * import { baseRates, throughTime } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * const found = throughTime(table, { seed: 1, engine: baseRates(), baseRates: baseRates() });
 * if (!("absent" in found)) throw new Error("a run through nothing");
 * ```
 */
export function throughTime(table: LearningTable, options: ThroughTimeOptions): ThroughTime | Absent {
  const { seed, engine, baseRates, outOfFold, learn = 2 / 3 } = options;
  if (!(learn > 0 && learn < 1)) {
    throw new RangeError(`Cannot run through time: learn must be above 0 and below 1, got ${learn}`);
  }
  const { x, outcome, signals } = table;
  const months = signals.map(({ date }) => date === null ? null : date.slice(0, 7));
  const dated = months.filter((month) => month !== null).length;
  const n: Counts = { signals: x.n, dated };
  if (x.n === 0) return absent("no cases", "No dug signal has a known outcome", n);
  if (dated < x.n) return absent("no dates", `${x.n - dated} of ${x.n} signals have no date`, n);
  const known = months as string[], each = [...new Set(known)].sort();
  if (each.length < 2) return absent("one month", "All signals are of one month", n);
  const before = (cut: string): number => known.filter((month) => month < cut).length;
  const off = (cut: string): number => Math.abs(before(cut) - learn * x.n);
  const cut = each.slice(1).reduce((best, month) => off(month) < off(best) ? month : best);
  const rows = [...known.keys()];
  const early = rows.filter((row) => known[row]! < cut), late = rows.filter((row) => known[row]! >= cut);
  const learnt = Uint8Array.from(early, (row) => outcome[row]!);
  const [ferrous, ...goods] = outcomeCountsOf(learnt), others = goods[0] + goods[1];
  if (ferrous < LEAST || others < LEAST || late.length < LEAST) {
    return absent(
      "too few",
      `It needs ${LEAST} ferrous and ${LEAST} others early and ${LEAST} signals later, got ${ferrous}, ${others} and ${late.length}`,
      n,
    );
  }
  const lateSites = new Set(late.map((row) => x.groups.site[row]!)).size;
  if (lateSites < LEAST_SITES) {
    return absent("too few", `The later signals must lie at ${LEAST_SITES} sites, got ${lateSites}`, n);
  }
  const learnX = takeRows(x, early), lateX = takeRows(x, late);
  checkFit(learnX, learnt, { seed });
  const losses = (by: Classifier): Float64Array => {
    const p = by.fit(learnX, learnt, { seed }).probabilities(lateX);
    return Float64Array.from(late, (row, i) => -Math.log(p[3 * i + outcome[row]!]!));
  };
  const own = losses(engine), base = losses(baseRates);
  const site = late.map((row) => x.groups.site[row]!), one = late.map(() => 1);
  const met = new Set(early.map((row) => x.groups.site[row]!));
  const mean = (values: Float64Array): Estimate => ratioBySite(values, one, site);
  const of = (part: readonly number[]): [string, string] => {
    const held = part.map((row) => known[row]!).sort();
    return [held[0]!, held.at(-1)!];
  };
  return {
    early: of(early),
    late: of(late),
    learntFrom: early.length,
    judged: late.length,
    atKnownSites: site.filter((id) => met.has(id)).length,
    logLoss: ratioBySite(own, one, site, { kind: "positive" }),
    underBaseRates: mean(base.map((loss, i) => loss - own[i]!)),
    aboveOtherSites: outOfFold === undefined
      ? absent("not asked", "No chances from other sites were given", n)
      : mean(own.map((loss, i) => loss + Math.log(outOfFold[3 * late[i]! + outcome[late[i]!]!]!))),
  };
}
