import { type Absent, absent, firthLogistic, inverseProbabilityMean, mean } from "../numbers/mod.ts";
import type { SignalTable } from "./season_tables.ts";

/** Weights that make the dug signals stand for all signals, dug or passed by. */
export interface DugWeights {
  /** "recorded": the chances of digging that the log states. "modelled": told from centre, own call and iron near. */
  readonly how: "recorded" | "modelled";
  /** Rows of the table that have an outcome, in order. */
  readonly rows: Int32Array;
  /** One over the chance of being dug, cut; one a row of `rows`. */
  readonly weights: Float64Array;
  /** How many weights were cut at {@link DugWeightsOptions.cutAt}. */
  readonly cut: number;
  /** Kish's effective number: how many signals dug by lot would tell as much. */
  readonly effective: number;
}

/** Options of {@link dugWeights}. */
export interface DugWeightsOptions {
  /** Largest weight. Default 10: no dug signal speaks for more than ten. */
  readonly cutAt?: number;
  /** Smallest effective number for which weights are given. Default 30. */
  readonly leastEffective?: number;
}

/**
 * Gives each dug signal of known outcome the weight of the signals it stands for: one over its chance of being dug.
 *
 * Where every one of them has a `dig_chance` above 0 those are the chances. Otherwise the chance is told by logistic regression
 * (Firth's penalty) from what the person knew: the centre, no reading at all, the own call, iron near. It then holds only as far
 * as digging went by these; what else decided is not corrected. Stopped digs and hazards are left out.
 *
 * Absent where nothing was passed by, where the regression fails, and where the effective number is under 30: weights then lean
 * on too few holes. Sources: Horvitz and Thompson (1952), JASA 47:663-685; Kish (1965), Survey Sampling.
 *
 * @example
 * ```ts
 * import { dugWeights } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: [], columns: [], whyMissing: [], groups: { site: none, outing: none, observer: none } };
 * if (!("absent" in dugWeights({ machine, discrimination: "none", signals: [], x }))) throw new Error("weights of nothing");
 * ```
 */
export function dugWeights(table: SignalTable, options: DugWeightsOptions = {}): DugWeights | Absent {
  const { cutAt = 10, leastEffective = 30 } = options;
  const { signals } = table;
  const looked = signals.flatMap(({ outcome }, i) =>
    outcome.status === "stopped" || outcome.status === "hazard" ? [] : [i]
  );
  const known = (row: number): boolean => signals[row]!.outcome.status === "known";
  const rows = Int32Array.from(looked.filter(known));
  const n = { signals: looked.length, dug: rows.length };
  if (rows.length === looked.length) {
    return absent("none passed", "Every signal has an outcome: there is nothing to weight", n);
  }
  if (rows.length === 0) return absent("none dug", "No signal has an outcome", n);
  const stated = Array.from(rows, (row) => signals[row]!.dig_chance);
  const recorded = stated.every((chance) => chance !== null && chance > 0);
  const chances = recorded ? stated as number[] : modelledChances(table, looked, rows);
  if (chances === null) {
    return absent("undefined", "The chance of being dug could not be told from what was logged", n);
  }
  const cut = chances.filter((chance) => 1 / chance > cutAt).length;
  const held = chances.map((chance) => Math.min(1, Math.max(chance, 1 / cutAt)));
  const told = inverseProbabilityMean(held.map(() => 1), held);
  const effective = "absent" in told ? 0 : told.effectiveCases;
  if (effective < leastEffective) {
    return absent(
      "too few",
      `The weighted holes tell as much as ${Math.floor(effective)} dug by lot; it needs ${leastEffective}`,
      n,
    );
  }
  return {
    how: recorded ? "recorded" : "modelled",
    rows,
    weights: Float64Array.from(held, (chance) => 1 / chance),
    cut,
    effective,
  };
}

/** Chances of having an outcome, for `rows`, by regression over `looked`; null where it has no answer. */
function modelledChances(
  { signals, x }: SignalTable,
  looked: readonly number[],
  rows: Int32Array,
): number[] | null {
  const place = x.names.indexOf("centre");
  const centre = looked.map((row) => place < 0 ? NaN : x.columns[place]![row]!);
  const there = centre.filter((value) => !Number.isNaN(value));
  const middle = there.length > 0 ? mean(there) : 0;
  const columns = [
    centre.map((value) => Number.isNaN(value) ? middle : value),
    centre.map((value) => Number.isNaN(value) ? 1 : 0),
  ].filter((column) => new Set(column).size > 1);
  columns.push(
    ...switches(looked.map((row) => signals[row]!.my_call)),
    ...switches(looked.map((row) => signals[row]!.iron_near)),
  );
  const outcome = looked.map((row) => signals[row]!.outcome.status === "known" ? 1 : 0);
  const fit = firthLogistic(columns, outcome);
  if (fit.status !== "converged") return null;
  const at = new Map(looked.map((row, i) => [row, i]));
  return Array.from(rows, (row) => {
    const i = at.get(row)!;
    const logit = columns.reduce(
      (total, column, k) => total + fit.coefficients[k + 1]! * column[i]!,
      fit.coefficients[0]!,
    );
    return 1 / (1 + Math.exp(-logit));
  });
}

/** A column of 0 and 1 for each word but the first met: with a constant, the first would follow from the others. */
function switches(words: readonly (string | null)[]): number[][] {
  const [, ...others] = new Set(words);
  return others.map((word) => words.map((each) => each === word ? 1 : 0));
}
