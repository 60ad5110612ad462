import type { Discrimination, MachinesFile, SettingsSet, Signal } from "../log/mod.ts";
import { type Model, type OutcomeName, OUTCOMES } from "../model/classifier.ts";
import { loadModel } from "../model/load_model.ts";
import { featureRow, reasonOf, withLeftOut } from "./_verdict_reason.ts";
import type { FieldRule } from "./verdict_rule.ts";
import { worthRule } from "./worth_rule.ts";

/** What is known of a signal before the hole, as far as a rule may ask. */
export type SignalBeforeDig = Pick<
  Signal,
  "right" | "left" | "cross" | "both_ways" | "after_turn" | "iron_near" | "depth_indicated" | "my_call"
>;

/** A rule made ready to be asked. */
export interface OpenRule {
  readonly rule: FieldRule;
  readonly model: Model;
  readonly machines: MachinesFile;
}

/** What a rule says of one signal. */
export type Verdict =
  | {
    readonly kind: "said";
    readonly says: "dig" | "leave";
    /** Chances of ferrous, non-ferrous and masked good; they sum to 1. */
    readonly chances: readonly [number, number, number];
    /** Chance of something that is not ferrous, and the chance from which a hole pays. */
    readonly chanceGood: number;
    readonly paysFrom: number;
    /** Outcomes that cannot be ruled out; where it holds ferrous and another, it could be either. */
    readonly set: readonly OutcomeName[];
    readonly couldBeEither: boolean;
    /** One line: what weighed most. */
    readonly reason: string;
    /** What to hold against it, one line each: readings beyond those learnt from, no cross passes. */
    readonly cautions: readonly string[];
    readonly ruleVersion: string;
  }
  | { readonly kind: "refused"; readonly reason: string };

/** Options of {@link verdict}. */
export interface VerdictOptions {
  /** Name of the settings set in use, null where none is named. */
  readonly settings: string | null;
  readonly machine: string;
  readonly discrimination: Discrimination;
  /** What is known of the settings where the page is used; compared with what the rule learnt from. */
  readonly machines: MachinesFile;
  /** How many holes a good find is worth to the person, above 1. */
  readonly holesWorth: number;
  /** Median centre of what read as iron on this site, three signals or more; null where there are fewer. */
  readonly siteIron?: number | null;
}

/**
 * Makes a rule ready: its model is built once, and each verdict is then a matter of a millisecond.
 *
 * Throws SyntaxError where the rule's model cannot be loaded, RangeError where its machine is not described.
 *
 * @example
 * ```ts
 * import { baseRates, type FieldRule, openRule } from "overiron";
 * const group = Int32Array.of(0, 0, 0);
 * const x = { n: 3, names: [], columns: [], whyMissing: [], groups: { site: group, outing: group, observer: group } };
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machines = { schema: "overiron-machines/1" as const, settings: [],
 *   machines: [{ machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones }] };
 * const rule: FieldRule = {
 *   version: "r0123456789", machine: "Machine A", discrimination: "none", settings: [null], engine: "base rates",
 *   model: baseRates().fit(x, Uint8Array.of(0, 1, 2), { seed: 1 }).toJSON(), repeatNoise: null,
 *   learntFrom: { signals: 3, ferrous: 1, nonFerrous: 1, maskedGood: 1, sites: 1 }, classes: "three",
 *   sets: { miss: 0.1, thresholds: [null, null, null] }, centres: null, months: null, ground: [], moisture: [], card: null, stepCard: null,
 * };
 * if (openRule(rule, machines).rule.version !== "r0123456789") throw new Error("wrong");
 * ```
 */
export function openRule(rule: FieldRule, machines: MachinesFile): OpenRule {
  if (!machines.machines.some(({ machine }) => machine === rule.machine)) {
    throw new RangeError(`Cannot open rule: its machine must be described, got "${rule.machine}"`);
  }
  return { rule, model: loadModel(rule.model), machines };
}

const same = (a: unknown, b: unknown): boolean => {
  if (a === b) return true;
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null) return false;
  const keys = new Set([...Object.keys(a), ...Object.keys(b)]);
  keys.delete("notes");
  keys.delete("settings");
  return [...keys].every((key) =>
    same((a as Record<string, unknown>)[key] ?? null, (b as Record<string, unknown>)[key] ?? null)
  );
};

const settingsOf = (machines: MachinesFile, name: string): SettingsSet | undefined =>
  machines.settings.find(({ settings }) => settings === name);

/**
 * Tells why a rule does not hold where it is asked, in one sentence; null where it does.
 *
 * @example
 * ```ts
 * import { baseRates, type FieldRule, openRule, whyNotHere } from "overiron";
 * const group = Int32Array.of(0, 0, 0);
 * const x = { n: 3, names: [], columns: [], whyMissing: [], groups: { site: group, outing: group, observer: group } };
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machines = { schema: "overiron-machines/1" as const, settings: [],
 *   machines: [{ machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones }] };
 * const rule: FieldRule = {
 *   version: "r0123456789", machine: "Machine A", discrimination: "none", settings: [null], engine: "base rates",
 *   model: baseRates().fit(x, Uint8Array.of(0, 1, 2), { seed: 1 }).toJSON(), repeatNoise: null,
 *   learntFrom: { signals: 3, ferrous: 1, nonFerrous: 1, maskedGood: 1, sites: 1 }, classes: "three",
 *   sets: { miss: 0.1, thresholds: [null, null, null] }, centres: null, months: null, ground: [], moisture: [], card: null, stepCard: null,
 * };
 * const options = { settings: null, machine: "Machine A", discrimination: "none" as const, machines, holesWorth: 5 };
 * const open = openRule(rule, machines);
 * if (whyNotHere(open, options) !== null) throw new Error("it holds here");
 * if (!whyNotHere(open, { ...options, machine: "Machine B" })!.includes("not with Machine B")) throw new Error("wrong");
 * ```
 */
export function whyNotHere(open: OpenRule, options: VerdictOptions): string | null {
  const { rule } = open;
  const { settings, machine, discrimination, machines } = options;
  if (machine !== rule.machine) return `The rule was learnt with ${rule.machine}, not with ${machine}`;
  const described = (file: MachinesFile) => file.machines.find((each) => each.machine === machine);
  const [here, there] = [described(machines), described(open.machines)];
  if (!same(here?.scale, there?.scale) || here?.iron_break !== there?.iron_break) {
    return `The scale or the iron break of ${machine} is not what the rule was learnt with`;
  }
  if (discrimination !== rule.discrimination) {
    return `The rule was learnt with discrimination "${rule.discrimination}", not "${discrimination}"`;
  }
  if (settings === null) {
    return rule.settings.includes(null)
      ? null
      : "No settings set is named: the rule holds for named sets only";
  }
  const now = settingsOf(machines, settings);
  const known = rule.settings.some((name) => name !== null && same(settingsOf(open.machines, name), now));
  return known && now !== undefined
    ? null
    : `The coil or the settings of "${settings}" are not among those the rule was learnt with`;
}

/**
 * Asks a rule about one signal, after its passes: chances of the three outcomes, which of them cannot be ruled out, and whether the
 * hole pays by the person's own numbers.
 *
 * The chances are those of the library's model on the library's features, the same code. The set holds each outcome that the rule's
 * calibration (conformal, class by class, on sites the model had not seen: Sadinle, Lei and Wasserman 2019, JASA 114:223) does not rule out.
 * The verdict is `worthRule`'s. Refused, with the reason: another machine, coil or setting than learnt from, no pass logged, a reading off the
 * scale. Throws RangeError for a worth of 1 or below.
 *
 * @example
 * ```ts
 * import { baseRates, type FieldRule, openRule, verdict } from "overiron";
 * const group = Int32Array.of(0, 0, 0);
 * const x = { n: 3, names: [], columns: [], whyMissing: [], groups: { site: group, outing: group, observer: group } };
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machines = { schema: "overiron-machines/1" as const, settings: [],
 *   machines: [{ machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones }] };
 * const rule: FieldRule = {
 *   version: "r0123456789", machine: "Machine A", discrimination: "none", settings: [null], engine: "base rates",
 *   model: baseRates().fit(x, Uint8Array.of(0, 1, 2), { seed: 1 }).toJSON(), repeatNoise: null,
 *   learntFrom: { signals: 3, ferrous: 1, nonFerrous: 1, maskedGood: 1, sites: 1 }, classes: "three",
 *   sets: { miss: 0.1, thresholds: [null, null, null] }, centres: null, months: null, ground: [], moisture: [], card: null, stepCard: null,
 * };
 * const options = { settings: null, machine: "Machine A", discrimination: "none" as const, machines, holesWorth: 5 };
 * const right = { written: "412", kind: "passes" as const, readings: [412], silent: 0, passes: 1, approximate: false };
 * const before = { right, left: null, cross: null, both_ways: null, after_turn: null, iron_near: null, depth_indicated: null, my_call: null };
 * const said = verdict(openRule(rule, machines), before, options);
 * if (said.kind === "refused" || said.says !== "dig" || Math.abs(said.chanceGood - 2 / 3) > 1e-12) throw new Error("wrong");
 * ```
 */
export function verdict(open: OpenRule, signal: SignalBeforeDig, options: VerdictOptions): Verdict {
  const { rule, model, machines } = open;
  const { holesWorth, siteIron = null } = options;
  const elsewhere = whyNotHere(open, options);
  if (elsewhere !== null) return { kind: "refused", reason: elsewhere };
  if (signal.right === null && signal.left === null) {
    return { kind: "refused", reason: "No pass to the right or left is written down yet" };
  }
  const { scale } = machines.machines.find((each) => each.machine === rule.machine)!;
  const readings = [signal.right, signal.left, signal.cross].flatMap((passes) => passes?.readings ?? []);
  const off = readings.find((reading) => reading < scale.low || reading > scale.high);
  if (off !== undefined) {
    return { kind: "refused", reason: `A reading must lie from ${scale.low} to ${scale.high}, got ${off}` };
  }
  const row = featureRow(signal, open, siteIron, rule.model.features);
  const p = model.probabilities(withLeftOut(row));
  const chances = [p[0]!, p[1]!, p[2]!] as const;
  const says = worthRule(p.subarray(0, 3), holesWorth)[0] === 1 ? "dig" as const : "leave" as const;
  const set = setOf(rule, chances);
  const cautions: string[] = [];
  const centre = row.names.includes("centre") ? row.columns[row.names.indexOf("centre")]![0]! : NaN;
  if (rule.centres !== null && (centre < rule.centres.low || centre > rule.centres.high)) {
    cautions.push(
      `It was learnt from readings between ${rule.centres.low} and ${rule.centres.high}; these lie outside`,
    );
  }
  if (rule.classes === "two") {
    cautions.push("The log is too small to tell masked goods from the other goods: their share is the log's");
  }
  return {
    kind: "said",
    says,
    chances,
    chanceGood: 1 - chances[0],
    paysFrom: 1 / holesWorth,
    set,
    couldBeEither: set.includes("ferrous") && set.length > 1,
    reason: reasonOf(row, p),
    cautions,
    ruleVersion: `${rule.version}-w${holesWorth}`,
  };
}

function setOf(rule: FieldRule, chances: readonly [number, number, number]): OutcomeName[] {
  const { thresholds } = rule.sets;
  const shares = rule.classes === "three" ? [...chances] : [chances[0], chances[1] + chances[2]];
  const inside = shares.map((share, k) => {
    const threshold = thresholds[k] ?? null;
    return threshold === null || 1 - share <= threshold + 1e-12;
  });
  return OUTCOMES.filter((_, k) => inside[rule.classes === "three" ? k : Math.min(k, 1)]);
}
