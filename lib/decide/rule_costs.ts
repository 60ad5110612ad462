import { absent, type Estimate } from "../numbers/mod.ts";
import { chancesToUse, type TableStudy } from "../model/mod.ts";
import { fixedRules } from "./_fixed_rules.ts";
import { costOfRule, type RuleCost } from "./cost_of_rule.ts";
import { goodFindsOf } from "./good_finds.ts";
import { worthRule, WORTHS } from "./worth_rule.ts";

/** What a choice of dig rules costs on the dug signals of one study. */
export interface RuleCosts {
  /** Dig everything, the person's own call, the tone rule, and the recommended engine at each worth. */
  readonly costs: readonly RuleCost[];
  /** Good finds among the holes judged; absent from none. */
  readonly goodFinds: number;
  readonly holes: number;
  /** Holes for one good find when everything is dug. */
  readonly digAll: Estimate;
}

/**
 * Tells what dig rules would have cost on the holes of a study: dig everything, dig what was called good, dig all but what was
 * called iron, dig above the iron break, and the recommended engine's rule where a good find is worth so many holes
 * (`worths`, 3, 5 and 10 unless told).
 *
 * A good find is one its finder marked to keep. Model rules use chances from sites the model had not seen, corrected where that
 * helps there (see `chancesToUse`). Rules that need what the log lacks are left out. Only dug signals of known outcome are judged.
 *
 * @example
 * ```ts
 * import { ruleCosts, studyTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * const study = await studyTable(table, { seed: 1 });
 * if (ruleCosts(study).costs.length !== 0) throw new Error("no hole, no cost");
 * ```
 */
export function ruleCosts(
  study: TableStudy,
  options: { readonly worths?: readonly number[] } = {},
): RuleCosts {
  const { worths = WORTHS } = options;
  const { table, recommendation, group, groups } = study;
  const goodFinds = goodFindsOf(table.signals);
  const holes = table.x.n;
  const total = goodFinds.reduce((sum, count) => sum + count, 0);
  if (holes === 0) {
    return {
      costs: [],
      goodFinds: 0,
      holes,
      digAll: absent("no holes", "No dug signal has a known outcome", { holes: 0 }),
    };
  }
  const cost = (name: string, digs: ArrayLike<number>): RuleCost =>
    costOfRule(name, { digs, goodFinds, site: group, groups });
  const costs = fixedRules(table).map(({ name, digs }) => cost(name, digs));
  const engine = recommendation?.recommended ?? "base rates", chances = chancesToUse(study, engine);
  if (chances !== null && engine !== "base rates") {
    for (const worth of worths) {
      costs.push(cost(`${engine}, a good find worth ${worth} holes`, worthRule(chances, worth)));
    }
  }
  return { costs, goodFinds: total, holes, digAll: costs[0]!.holesPerGoodFind };
}
