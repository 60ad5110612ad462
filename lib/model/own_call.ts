import type { Classifier, Model } from "./classifier.ts";
import { columnOf, fixedRule, ruleModel, type RuleParameters, type RuleParts } from "./_rule.ts";

const name = "own call";

const parts: RuleParts = {
  engine: "own-call",
  name,
  features: ["ownCall"],
  answers: ["good", "iron", "cannot say", "no call written"],
  settings: {},
  answer: (x) =>
    Uint8Array.from(
      columnOf(x, "ownCall", name),
      (call) => call === 1 ? 0 : call === 0 ? 1 : Number.isNaN(call) ? 3 : 2,
    ),
};

/**
 * Gives the person's own call before the dig as a classifier: good, iron, cannot say, or none written. The share of each
 * outcome behind each call comes from the signals learnt from.
 *
 * Needs the feature `ownCall` (1 good, 0 iron, 0.5 cannot say); throws RangeError where the table lacks it.
 *
 * @example
 * ```ts
 * import { ownCall } from "overiron";
 * const group = Int32Array.of(0, 0, 0, 0);
 * const table = { n: 4, names: ["ownCall"], columns: [Float64Array.of(1, 1, 0, 0)], whyMissing: [new Uint8Array(4)],
 *   groups: { site: group, outing: group, observer: group } };
 * const p = ownCall().fit(table, Uint8Array.of(1, 1, 0, 0), { seed: 1 }).probabilities(table);
 * if (!(p[1]! > p[0]! && p[6]! > p[7]!)) throw new Error(String(p));
 * ```
 */
export function ownCall(): Classifier {
  return fixedRule(parts);
}

export function ownCallFrom(saved: RuleParameters, learntFrom: number): Model {
  return ruleModel(parts, saved.shares, learntFrom);
}
