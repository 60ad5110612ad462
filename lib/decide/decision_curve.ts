import type { Estimate } from "../numbers/mod.ts";
import { chancesToUse, ratioBySite, type TableStudy } from "../model/mod.ts";
import { fixedRules } from "./_fixed_rules.ts";
import { worthRule } from "./worth_rule.ts";

/** What one dig rule nets where a good signal is worth a number of holes. */
export interface RuleNet {
  readonly rule: string;
  /** Good holes in a hundred signals, less the ferrous ones at the price that the worth sets. Digging nothing nets 0. */
  readonly net: Estimate;
  /** What the model nets above this rule, signal by signal; null for the model itself. */
  readonly modelGain: Estimate | null;
}

/** One place on a decision curve. */
export interface DecisionPoint {
  /** Holes that a good signal is worth. */
  readonly worth: number;
  /** The least chance at which a hole then pays: one over the worth. */
  readonly threshold: number;
  readonly rules: readonly RuleNet[];
}

/** Net benefit of dig rules over the worth of a good signal. */
export interface DecisionCurve {
  readonly model: string;
  readonly holes: number;
  /** Signals that were not ferrous. */
  readonly good: number;
  readonly points: readonly DecisionPoint[];
}

/** Worths, in holes, at which a curve is drawn. */
export const CURVE_WORTHS: readonly number[] = [1.25, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 15, 20];

/**
 * Gives the decision curve of a study's recommended engine: over the worth of a good signal, what its rule nets against digging
 * everything, digging above the iron break and digging what was called good.
 *
 * Net benefit is right holes a signal, less ferrous ones at odds t / (1 - t), t = 1 / worth; times 100. Good is what is not
 * ferrous. Chances are from models that had not seen the signal's site, corrected where that
 * helps there (see `chancesToUse`); intervals are by site; gains are paired, signal by
 * signal. `worths` are above 1. Null where no engine beyond the base rates is recommended.
 *
 * Source: Vickers and Elkin (2006), Medical Decision Making 26:565-574. Throws RangeError for a worth of 1 or below.
 *
 * @example
 * ```ts
 * import { decisionCurve, studyTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * if (decisionCurve(await studyTable(table, { seed: 1 })) !== null) throw new Error("a curve of nothing");
 * ```
 */
export function decisionCurve(
  study: TableStudy,
  options: { readonly worths?: readonly number[]; readonly level?: number } = {},
): DecisionCurve | null {
  const { worths = CURVE_WORTHS, level = 0.95 } = options;
  const { table, recommendation, group, groups } = study;
  const engine = recommendation?.recommended ?? "base rates", chances = chancesToUse(study, engine);
  if (chances === null || engine === "base rates") return null;
  const { n } = table.x;
  const good = Float64Array.from(table.outcome, (outcome) => outcome === 0 ? 0 : 1);
  // One rule by the own call is enough here: what was called good.
  const fixed = fixedRules(table).filter(({ name }) => name !== "dig all but what I called iron");
  const ones = new Uint8Array(n).fill(1);
  const mean = (values: Float64Array): Estimate =>
    ratioBySite(values, ones, group, { kind: "number", unit: "signals", groups, level });
  const points = worths.map((worth): DecisionPoint => {
    const model = worthRule(chances, worth);
    const threshold = 1 / worth, odds = threshold / (1 - threshold);
    const netOf = (digs: ArrayLike<number>): Float64Array =>
      good.map((isGood, i) => 100 * digs[i]! * (isGood === 1 ? 1 : -odds));
    const net = netOf(model);
    return {
      worth,
      threshold,
      rules: [
        { rule: engine, net: mean(net), modelGain: null },
        ...fixed.map(({ name, digs }): RuleNet => {
          const other = netOf(digs);
          return { rule: name, net: mean(other), modelGain: mean(net.map((value, i) => value - other[i]!)) };
        }),
      ],
    };
  });
  return { model: engine, holes: n, good: good.reduce((total, each) => total + each, 0), points };
}
