import type { SignalTable } from "./season_tables.ts";
import { bandOf } from "../tones/mod.ts";
import { type Absent, absent, bootstrapByCluster, type Estimate, median } from "../numbers/mod.ts";
import { type OutcomeName, OUTCOMES } from "./classifier.ts";
import { ratioBySite } from "./ratio_by_site.ts";

/** Signals that look alike before the dig: one tone band, one side of the middle step over the site's iron. */
export interface SignalStratum {
  /** Place of the tone band, from the low end; null without a reading. */
  readonly band: number | null;
  readonly step: "low" | "high" | "not known";
  /** Signals in it, dug or passed by. */
  readonly all: number;
  /** Of these with an outcome, by outcome: ferrous, non-ferrous, masked good. */
  readonly dug: readonly [number, number, number];
  /** Whether it has signals without an outcome and fewer than five with one: those are bounded, never guessed. */
  readonly thin: boolean;
}

/** Share of one outcome among the dug, and among all signals. */
export interface OutcomeAmongAll {
  readonly outcome: OutcomeName;
  /** Among those with an outcome. */
  readonly dug: Estimate;
  /** Among all, if no signal without an outcome in a thin stratum had this one. */
  readonly atLeast: Estimate;
  /** Among all, if every one of them had. */
  readonly atMost: Estimate;
}

/** What the dug signals say of all signals, where digging went by band and step alone. */
export interface AllSignals {
  readonly all: number;
  readonly dug: number;
  /** Signals without an outcome in thin strata. */
  readonly bounded: number;
  readonly strata: readonly SignalStratum[];
  readonly outcomes: readonly OutcomeAmongAll[];
}

/** Dug signals with an outcome that a stratum needs before they speak for the others in it. */
const LEAST_DUG = 5;

/** Signals of one stratum: all of them, and those with an outcome, by outcome. */
interface Held {
  all: number;
  readonly dug: [number, number, number];
}

const none = (): Held => ({ all: 0, dug: [0, 0, 0] });
const known = ({ dug }: Held): number => dug[0] + dug[1] + dug[2];
const isThin = (held: Held): boolean => known(held) < LEAST_DUG && known(held) < held.all;

/** Share of an outcome among all signals of some strata; signals without an outcome in thin ones count as `unknown`. */
function shareAmongAll(strata: readonly Held[], outcome: number, unknown: 0 | 1): number {
  let total = 0, all = 0;
  for (const held of strata) {
    if (held.all === 0) continue;
    const there = held.dug[outcome]!;
    total += isThin(held) ? there + unknown * (held.all - known(held)) : held.all * there / known(held);
    all += held.all;
  }
  return total / all;
}

/**
 * Tells the outcomes of all signals, dug or passed by, from those that were dug, stratum by stratum: a tone band and a side of
 * the middle step over the site's iron. In a stratum with five dug signals or more the dug speak for the others in it; in a
 * thinner one the others are bounded, from none having the outcome to all of them.
 *
 * It holds where within a stratum it was chance which signals were dug; nobody can check that from the log. Stopped digs and
 * hazards are left out; a dug signal without an outcome counts as one not looked into. Intervals draw whole sites again.
 *
 * Source of the correction: Begg and Greenes (1983), Biometrics 39:207-215, here for three outcomes. Absent without a passed
 * signal, or with fewer than 30 dug signals of known outcome.
 *
 * @example
 * ```ts
 * import { allSignals } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: [], columns: [], whyMissing: [], groups: { site: none, outing: none, observer: none } };
 * const found = allSignals({ machine, discrimination: "none", signals: [], x }, { seed: 1 });
 * if (!("absent" in found)) throw new Error("something from nothing");
 * ```
 */
export function allSignals(
  table: SignalTable,
  options: { readonly seed: number; readonly replicates?: number; readonly level?: number },
): AllSignals | Absent {
  const { seed, replicates = 1000, level = 0.95 } = options;
  const { signals, machine, x } = table;
  const centre = columnOf(table, "centre"), above = columnOf(table, "aboveSiteIron");
  const steps = above.filter((value) => !Number.isNaN(value));
  const middle = steps.length > 0 ? median(steps) : 0;
  const places = new Map<string, number>(), keys: Pick<SignalStratum, "band" | "step">[] = [];
  const placeOf = (i: number): number => {
    const band = Number.isNaN(centre[i]!) ? null : bandOf(centre[i]!, machine.tones);
    const step = Number.isNaN(above[i]!) ? "not known" : above[i]! < middle ? "low" : "high";
    const name = `${band} ${step}`, place = places.get(name) ?? keys.push({ band, step }) - 1;
    places.set(name, place);
    return place;
  };
  const rows = signals.flatMap(({ outcome: { status, class: name } }, i) =>
    status === "stopped" || status === "hazard" ? [] : [{
      site: x.groups.site[i]!,
      stratum: placeOf(i),
      outcome: status === "known" && name !== null ? OUTCOMES.indexOf(name) : null,
    }]
  );
  const dug = rows.filter(({ outcome }) => outcome !== null).length;
  const sites = [...new Set(rows.map(({ site }) => site))];
  const n = { signals: rows.length, dug, sites: sites.length };
  if (!signals.some((signal) => signal.dug === "no")) {
    return absent("none passed", "Every signal was dug: the dug are all there are", n);
  }
  if (dug < 30) return absent("too few", `It needs 30 dug signals of known outcome, got ${dug}`, n);
  // Whole sites are drawn, so counting once a site and stratum is enough.
  const counts = sites.map(() => keys.map(none)), at = new Map(sites.map((site, i) => [site, i]));
  for (const { site, stratum, outcome } of rows) {
    const held = counts[at.get(site)!]![stratum]!;
    held.all++;
    if (outcome !== null) held.dug[outcome as 0 | 1 | 2]++;
  }
  const over = (drawn: ArrayLike<number>): Held[] => {
    const whole = keys.map(none);
    for (let i = 0; i < drawn.length; i++) {
      counts[drawn[i]!]!.forEach(({ all, dug }, k) => {
        whole[k]!.all += all;
        for (let c = 0; c < 3; c++) whole[k]!.dug[c]! += dug[c]!;
      });
    }
    return whole;
  };
  const strata = over(sites.map((_, i) => i)).map((held, k): SignalStratum => ({
    ...keys[k]!,
    ...held,
    thin: isThin(held),
  })).sort((a, b) => (a.band ?? -1) - (b.band ?? -1) || (a.step < b.step ? -1 : 1));
  const among = (outcome: number, unknown: 0 | 1): Estimate => ({
    ...bootstrapByCluster(sites, (drawn) => shareAmongAll(over(drawn), outcome, unknown), {
      seed,
      name: "model/all-signals",
      replicates,
      level,
    }),
    n: { signals: rows.length, sites: sites.length },
  });
  const has = rows.map(({ outcome }) => outcome === null ? 0 : 1);
  return {
    all: rows.length,
    dug,
    bounded: strata.reduce((total, { thin, all, dug: [a, b, c] }) => total + (thin ? all - a - b - c : 0), 0),
    strata,
    outcomes: OUTCOMES.map((outcome, k) => ({
      outcome,
      dug: ratioBySite(
        rows.map((row) => row.outcome === k ? 1 : 0),
        has,
        rows.map(({ site }) => site),
        { kind: "share", unit: "dug signals", level },
      ),
      atLeast: among(k, 0),
      atMost: among(k, 1),
    })),
  };
}

function columnOf({ x, signals }: SignalTable, feature: string): Float64Array {
  const place = x.names.indexOf(feature);
  return place < 0 ? new Float64Array(signals.length).fill(NaN) : x.columns[place]!;
}
