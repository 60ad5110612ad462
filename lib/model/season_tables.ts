import type { Discrimination, Machine, OutcomeStatus, Season, Signal } from "../log/mod.ts";
import { mean, meanDifference, median, normalMeanDifference } from "../numbers/mod.ts";
import { OUTCOMES } from "./classifier.ts";
import { type FeatureTable, takeRows } from "./feature_table.ts";
import { FEATURES, featuresNamed, sweepsOf } from "./features.ts";

/** The signals of one machine in one discrimination setting, with their features: row i of `x` is signal i. */
export interface SignalTable {
  readonly machine: Machine;
  readonly discrimination: Discrimination;
  readonly signals: readonly Signal[];
  readonly x: FeatureTable;
}

/** A signal table of dug signals with a known outcome, and how many others were left out, by what is known of them. */
export interface LearningTable extends SignalTable {
  /** 0 ferrous, 1 non-ferrous, 2 masked good; one a row. */
  readonly outcome: Uint8Array;
  /** Signals that teach nothing, counted by status: unknown, nothing found, stopped, hazard, not dug. */
  readonly leftOut: Readonly<Record<Exclude<OutcomeStatus, "known">, number>>;
}

/** Options of {@link signalTables} and {@link learningTables}. */
export interface SeasonTablesOptions {
  /** Names out of `FEATURES`. Default: all. */
  readonly features?: readonly string[];
}

const byText = (a: string, b: string): number => a < b ? -1 : a > b ? 1 : 0;

function numbered(values: readonly string[]): Int32Array {
  const places = new Map([...new Set(values)].sort(byText).map((value, i) => [value, i]));
  return Int32Array.from(values, (value) => places.get(value)!);
}

/**
 * Gives the machine's repeat noise as its signals show it, in reading units: the standard deviation of single passes of one way, told from how far
 * apart two of them are (Gini's mean difference over that of normal noise), as a mean over signals.
 *
 * A mean, so that a signal with a single pass one way, which takes it for its own, stands on average where it would with more passes.
 * `signals` are those of one machine in one discrimination setting, dug or not: the tables of this file take their features with
 * it. Undefined under ten signals with two single passes one way.
 *
 * @example
 * ```ts
 * import { repeatNoiseOf } from "overiron";
 * if (repeatNoiseOf([]) !== undefined) throw new Error("noise of nothing");
 * ```
 */
export function repeatNoiseOf(signals: readonly Pick<Signal, "right" | "left">[]): number | undefined {
  const differences = signals.flatMap(({ right, left }) => {
    const ways = [right, left].flatMap((passes) =>
      passes?.kind === "passes" && passes.readings.length >= 2 ? [meanDifference(passes.readings)] : []
    );
    return ways.length > 0 ? [mean(ways)] : [];
  });
  return differences.length >= 10 ? mean(differences) / normalMeanDifference(1) : undefined;
}

function tableOf(
  machine: Machine,
  discrimination: Discrimination,
  signals: readonly Signal[],
  names: readonly string[],
): SignalTable {
  const features = featuresNamed(names);
  const noise = repeatNoiseOf(signals);
  const sweeps = signals.map((signal) => sweepsOf(signal, machine, noise));
  const ironAt = new Map<string, number[]>();
  signals.forEach(({ site }, i) => {
    const { centre } = sweeps[i]!.sweep;
    if (!("value" in centre) || centre.value >= machine.iron_break) return;
    const held = ironAt.get(site);
    if (held) held.push(centre.value);
    else ironAt.set(site, [centre.value]);
  });
  const siteIron = new Map(
    [...ironAt].filter(([, centres]) => centres.length >= 3).map((
      [site, centres],
    ) => [site, median(centres)]),
  );
  const columns = features.map(() => new Float64Array(signals.length));
  const whyMissing = features.map(() => new Uint8Array(signals.length));
  signals.forEach((signal, i) => {
    const source = { signal, machine, ...sweeps[i]!, siteIron: siteIron.get(signal.site) ?? null };
    features.forEach((feature, j) => {
      const cell = feature.compute(source);
      columns[j]![i] = "value" in cell ? cell.value : NaN;
      whyMissing[j]![i] = "value" in cell ? 0 : cell.why;
    });
  });
  const groups = {
    site: numbered(signals.map((signal) => signal.site)),
    outing: numbered(signals.map((signal) => signal.outing_id)),
    observer: numbered(signals.map((signal) => signal.observer ?? "")),
  };
  const x = {
    n: signals.length,
    names: features.map((feature) => feature.name),
    columns,
    whyMissing,
    groups,
  };
  return { machine, discrimination, signals, x };
}

/**
 * Gives the features of every signal of a season, dug or not, one table a machine and a discrimination setting: those are
 * never pooled, since a reading and a silent pass mean different things.
 *
 * Tables come in the order of machine and setting; rows in the order of the log. A missing cell carries its reason; see
 * `FEATURES` for units. Where single passes allow, the machine's repeat noise is told from the signals of the table.
 *
 * Throws RangeError for a feature known only after the dig, by its name, for an unknown one, and for a signal whose machine
 * the season does not describe.
 *
 * @example
 * ```ts
 * import { signalTables } from "overiron";
 * if (signalTables({ machines: [], settings: [], signals: [] }).length !== 0) throw new Error("a table of nothing");
 * ```
 */
export function signalTables(season: Season, options: SeasonTablesOptions = {}): SignalTable[] {
  const { features = FEATURES.map((feature) => feature.name) } = options;
  featuresNamed(features);
  const held = new Map<string, Signal[]>();
  for (const signal of season.signals) {
    const key = JSON.stringify([signal.machine, signal.discrimination]);
    const rows = held.get(key);
    if (rows) rows.push(signal);
    else held.set(key, [signal]);
  }
  return [...held].sort(([a], [b]) => byText(a, b)).map(([, signals]) => {
    const { machine: name, discrimination } = signals[0]!;
    const machine = season.machines.find((each) => each.machine === name);
    if (!machine) {
      throw new RangeError(`Cannot make feature table: the machine must be described, got "${name}"`);
    }
    return tableOf(machine, discrimination, signals, features);
  });
}

/**
 * Gives what a model may learn from: the dug signals of known outcome, one table a machine and a discrimination setting, and
 * beside each how many signals were left out and why.
 *
 * Options, order and errors as {@link signalTables}; a table may hold no row. Features that look at a whole site do so over
 * all its signals, dug or not.
 *
 * @example
 * ```ts
 * import { learningTables } from "overiron";
 * let message = "";
 * try { learningTables({ machines: [], settings: [], signals: [] }, { features: ["after_dig"] }); }
 * catch (error) { message = (error as Error).message; }
 * if (!message.includes("known after")) throw new Error(message);
 * ```
 */
export function learningTables(season: Season, options: SeasonTablesOptions = {}): LearningTable[] {
  return signalTables(season, options).map((table) => {
    const rows: number[] = [], codes: number[] = [];
    const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
    table.signals.forEach(({ outcome }, i) => {
      if (outcome.status !== "known") leftOut[outcome.status] += 1;
      else if (outcome.class !== null) {
        rows.push(i);
        codes.push(OUTCOMES.indexOf(outcome.class));
      }
    });
    return {
      ...table,
      signals: rows.map((row) => table.signals[row]!),
      x: takeRows(table.x, rows),
      outcome: Uint8Array.from(codes),
      leftOut,
    };
  });
}
