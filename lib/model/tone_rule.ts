import type { Classifier, Model } from "./classifier.ts";
import type { FeatureTable } from "./feature_table.ts";
import { columnOf, fixedRule, ruleModel, type RuleParameters, type RuleParts } from "./_rule.ts";

/** Options of {@link toneRule}. */
export interface ToneRuleOptions {
  /** Readings at which the tone changes, ascending; a reading on a break belongs to the upper band. Default: the iron break only. */
  readonly breaks?: readonly number[];
}

const name = "tone rule";

function toneParts(breaks: readonly number[]): RuleParts {
  return {
    engine: "tone-rule",
    name,
    features: ["centre"],
    answers: [...breaks.map((_, band) => `band ${band + 1}`), `band ${breaks.length + 1}`, "no reading"],
    settings: { breaks },
    answer: (x: FeatureTable) =>
      Uint8Array.from(columnOf(x, "centre", name), (centre) => {
        if (Number.isNaN(centre)) return breaks.length + 1;
        let band = 0;
        while (band < breaks.length && centre >= breaks[band]!) band++;
        return band;
      }),
  };
}

/**
 * Gives the tone rule as a classifier: which band the centre of the readings falls in, "dig above the iron break" in its
 * simplest form. The share of each outcome in each band comes from the signals learnt from.
 *
 * `ironBreak` is in reading units. Needs the feature `centre`; a signal without one is a band of its own. Throws RangeError
 * for a break that is not finite, breaks that do not ascend, or a table without `centre`.
 *
 * @example
 * ```ts
 * import { toneRule } from "overiron";
 * const group = Int32Array.of(0, 0, 0, 0);
 * const table = { n: 4, names: ["centre"], columns: [Float64Array.of(100, 110, 300, 310)], whyMissing: [new Uint8Array(4)],
 *   groups: { site: group, outing: group, observer: group } };
 * const p = toneRule(200).fit(table, Uint8Array.of(0, 0, 1, 1), { seed: 1 }).probabilities(table);
 * if (!(p[0]! > p[1]! && p[7]! > p[6]!)) throw new Error(String(p));
 * ```
 */
export function toneRule(ironBreak: number, options: ToneRuleOptions = {}): Classifier {
  const { breaks = [ironBreak] } = options;
  if (breaks.length === 0 || breaks.length > 200) {
    throw new RangeError(`Cannot make tone rule: need 1 to 200 breaks, got ${breaks.length}`);
  }
  breaks.forEach((at, i) => {
    if (!Number.isFinite(at) || (i > 0 && at <= breaks[i - 1]!)) {
      throw new RangeError(
        `Cannot make tone rule: breaks must be finite and ascend, got ${breaks.join(", ")}`,
      );
    }
  });
  return fixedRule(toneParts([...breaks]));
}

export function toneRuleFrom(saved: RuleParameters, learntFrom: number): Model {
  return ruleModel(toneParts(saved.settings["breaks"] ?? []), saved.shares, learntFrom);
}
