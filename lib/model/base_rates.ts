import type { Classifier, Model } from "./classifier.ts";
import { fixedRule, ruleModel, type RuleParameters, type RuleParts } from "./_rule.ts";

const parts: RuleParts = {
  engine: "base-rates",
  name: "base rates",
  features: [],
  answers: ["every signal"],
  settings: {},
  answer: (x) => new Uint8Array(x.n),
};

/**
 * Gives the classifier that knows nothing of a signal: every signal gets the outcome shares of the signals learnt from.
 * What does not beat it has learnt nothing.
 *
 * @example
 * ```ts
 * import { baseRates } from "overiron";
 * const group = Int32Array.of(0, 0, 0);
 * const table = { n: 3, names: [], columns: [], whyMissing: [], groups: { site: group, outing: group, observer: group } };
 * const shares = baseRates().fit(table, Uint8Array.of(0, 0, 1), { seed: 1 }).probabilities(table);
 * if (Math.abs(shares[0]! - 0.5) > 1e-12) throw new Error(String(shares)); // (3 * 2/3 + 1) / 6
 * ```
 */
export function baseRates(): Classifier {
  return fixedRule(parts);
}

export function baseRatesFrom(saved: RuleParameters, learntFrom: number): Model {
  return ruleModel(parts, saved.shares, learntFrom);
}
