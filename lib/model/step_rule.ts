import { checkFit, type Classifier, type Model } from "./classifier.ts";
import { columnOf, ruleModel, type RuleParameters, type RuleParts, sharesByAnswer } from "./_rule.ts";

const name = "step rule";

function stepParts(step: number): RuleParts {
  return {
    engine: "step-rule",
    name,
    features: ["aboveSiteIron"],
    answers: ["below the step", "at or above the step", "no reading, or no iron level"],
    settings: { step: [step] },
    answer: (x) =>
      Uint8Array.from(
        columnOf(x, "aboveSiteIron", name),
        (above) => Number.isNaN(above) ? 2 : above >= step ? 1 : 0,
      ),
  };
}

/** The inner twentieths of the rows learnt from. */
const CANDIDATES = 19;

/**
 * Gives the step rule as a classifier: dig what reads so many points above the iron of that very site.
 *
 * Needs the feature `aboveSiteIron`, the centre minus the site's iron level. The step is one number, chosen among the
 * twentieths of the rows learnt from by their log loss (ties: the smaller step); outcome shares come from the same rows.
 * Where no row has the feature every signal is one answer. Throws RangeError for a table without the feature.
 *
 * @example
 * ```ts
 * import { stepRule } from "overiron";
 * const group = new Int32Array(6);
 * const table = { n: 6, names: ["aboveSiteIron"], columns: [Float64Array.of(0, 5, 10, 60, 80, 90)],
 *   whyMissing: [new Uint8Array(6)], groups: { site: group, outing: group, observer: group } };
 * const p = stepRule().fit(table, Uint8Array.of(0, 0, 0, 1, 1, 1), { seed: 1 }).probabilities(table);
 * if (!(p[6]! > 0.5 && p[10]! > 0.5)) throw new Error(String(p));
 * ```
 */
export function stepRule(): Classifier {
  return {
    name,
    fit(x, outcome, options) {
      const weights = checkFit(x, outcome, options);
      const known = Float64Array.from(columnOf(x, "aboveSiteIron", name)).filter((above) =>
        !Number.isNaN(above)
      )
        .sort();
      let best = {
        step: 0,
        loss: Infinity,
        shares: sharesByAnswer(stepParts(0).answer(x), outcome, weights, 3),
      };
      let last = NaN;
      for (let q = 1; q <= CANDIDATES && known.length > 0; q++) {
        const step = known[Math.min(known.length - 1, Math.floor(q * known.length / (CANDIDATES + 1)))]!;
        if (step === last) continue;
        last = step;
        const answered = stepParts(step).answer(x);
        const shares = sharesByAnswer(answered, outcome, weights, 3);
        let loss = 0;
        for (let i = 0; i < x.n; i++) {
          if (weights[i]! > 0) loss -= weights[i]! * Math.log(shares[answered[i]!]![outcome[i]!]!);
        }
        if (loss < best.loss - 1e-12) best = { step, loss, shares };
      }
      return ruleModel(stepParts(best.step), best.shares, x.n);
    },
  };
}

export function stepRuleFrom(saved: RuleParameters, learntFrom: number): Model {
  return ruleModel(stepParts(saved.settings["step"]?.[0] ?? 0), saved.shares, learntFrom);
}
