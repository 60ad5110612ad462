import { z } from "zod";
import { checkFit, type Classifier, floorProbabilities, type Model, modelFile } from "./classifier.ts";
import { checkFeatureTable, type FeatureTable } from "./feature_table.ts";

const sharesSchema = z.array(z.number().min(0).max(1)).length(3);
export const ruleParametersSchema = z.strictObject({
  answers: z.array(z.string()).min(1),
  shares: z.array(sharesSchema),
  settings: z.record(z.string(), z.array(z.number())),
});
export type RuleParameters = z.infer<typeof ruleParametersSchema>;

/** What a hard rule answers about each row: the index of its answer. */
export type Answering = (x: FeatureTable) => Uint8Array;

export interface RuleParts {
  readonly engine: string;
  readonly name: string;
  readonly features: readonly string[];
  readonly answers: readonly string[];
  /** Numbers the rule needs to answer again after it was saved. */
  readonly settings: Readonly<Record<string, readonly number[]>>;
  readonly answer: Answering;
}

/**
 * The outcome shares behind each answer of a rule, from the rows learnt from. An answer met by few rows is drawn towards
 * the overall shares by the weight of three rows, so an answer never met has the overall shares.
 */
export function sharesByAnswer(
  answered: Uint8Array,
  outcome: Uint8Array,
  weights: Float64Array,
  answers: number,
): number[][] {
  const sums = Array.from({ length: answers }, () => [0, 0, 0]);
  const overall = [0, 0, 0];
  for (let i = 0; i < answered.length; i++) {
    sums[answered[i]!]![outcome[i]!]! += weights[i]!;
    overall[outcome[i]!]! += weights[i]!;
  }
  const total = overall[0]! + overall[1]! + overall[2]!;
  return sums.map((row) => {
    const all = row[0]! + row[1]! + row[2]!;
    return row.map((sum, k) => (sum + 3 * overall[k]! / total) / (all + 3));
  });
}

export function ruleModel(
  parts: RuleParts,
  shares: readonly (readonly number[])[],
  learntFrom: number,
): Model {
  return {
    probabilities(x) {
      checkFeatureTable(x);
      const answered = parts.answer(x);
      const out = new Float64Array(3 * x.n);
      for (let i = 0; i < x.n; i++) out.set(shares[answered[i]!]!, 3 * i);
      return floorProbabilities(out, learntFrom);
    },
    toJSON: () =>
      modelFile({
        engine: parts.engine,
        name: parts.name,
        learntFrom,
        features: parts.features,
        parameters: { answers: [...parts.answers], shares, settings: parts.settings },
      }),
  };
}

/** A classifier from a rule whose answers do not depend on the rows learnt from; only their outcome shares do. */
export function fixedRule(parts: RuleParts): Classifier {
  return {
    name: parts.name,
    fit(x, outcome, options) {
      const weights = checkFit(x, outcome, options);
      const shares = sharesByAnswer(parts.answer(x), outcome, weights, parts.answers.length);
      return ruleModel(parts, shares, x.n);
    },
  };
}

/** A column and its reasons by name; a RangeError that names the engine where the table lacks it. */
export function columnOf(x: FeatureTable, name: string, engine: string): Float64Array {
  const place = x.names.indexOf(name);
  if (place < 0) {
    throw new RangeError(
      `Cannot use ${engine}: the table needs the feature "${name}", got ${x.names.join(", ") || "none"}`,
    );
  }
  return x.columns[place]!;
}
