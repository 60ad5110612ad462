import { checkFit, type Classifier, type Model } from "./classifier.ts";
import { type FeatureTable, takeRows } from "./feature_table.ts";
import type { Folds } from "./folds.ts";

/** One engine's probabilities for rows it had not seen, or the reason why it has none. */
export type OutOfFold =
  | {
    readonly kind: "predicted";
    readonly name: string;
    readonly probabilities: Float64Array;
    /** The model of each fold, where they were to be kept; else none. */
    readonly models: readonly Model[];
  }
  | { readonly kind: "refused"; readonly name: string; readonly reason: string };

/** Options of {@link crossValidate}. */
export interface CrossValidateOptions {
  readonly seed: number;
  /** A weight of 0 or above a row, used in learning only. Default: 1 each. */
  readonly weights?: Float64Array;
  /** Whether the model of each fold is kept, to be asked again. Default false. */
  readonly keepModels?: boolean;
}

/**
 * Predicts every row by models that learnt from the other folds, for each engine on the same folds.
 *
 * `outcome` is 0, 1 or 2 a row. The answer has one entry an engine, in the order given: n x 3 probabilities by row, or the
 * reason where the engine refused (a RangeError from its fit). Throws RangeError for lengths that differ or for two engines
 * of one name; a TypeError from an engine is passed on.
 *
 * @example
 * ```ts
 * import { crossValidate, groupFolds, toneRule } from "overiron";
 * const group = Int32Array.of(0, 0, 1, 1, 2, 2);
 * const x = { n: 6, names: ["centre"], columns: [Float64Array.of(10, 90, 12, 88, 11, 91)], whyMissing: [new Uint8Array(6)],
 *   groups: { site: group, outing: group, observer: group } };
 * const outcome = Uint8Array.of(0, 1, 0, 1, 0, 1);
 * const folds = groupFolds(x, outcome);
 * if (folds.kind !== "folds") throw new Error(folds.reason);
 * const [found] = crossValidate(x, outcome, { seed: 1, folds, engines: [toneRule(50)] });
 * if (found?.kind !== "predicted" || !(found.probabilities[0]! > 0.5)) throw new Error("ferrous below the break");
 * ```
 */
export function crossValidate(
  x: FeatureTable,
  outcome: Uint8Array,
  options: CrossValidateOptions & { readonly folds: Folds; readonly engines: readonly Classifier[] },
): OutOfFold[] {
  const { folds, engines, seed } = options;
  const weights = checkFit(x, outcome, options);
  if (folds.of.length !== x.n) {
    throw new RangeError(
      `Cannot cross-validate: need one fold a row, got ${folds.of.length} for ${x.n} rows`,
    );
  }
  const names = engines.map((engine) => engine.name);
  if (new Set(names).size !== names.length) {
    throw new RangeError(`Cannot cross-validate: engines need different names, got ${names.join(", ")}`);
  }
  const parts = Array.from({ length: folds.count }, (_, fold) => {
    const learn: number[] = [], test: number[] = [];
    folds.of.forEach((of, row) => (of === fold ? test : learn).push(row));
    return {
      test,
      learnX: takeRows(x, learn),
      testX: takeRows(x, test),
      learnOutcome: Uint8Array.from(learn, (row) => outcome[row]!),
      learnWeights: options.weights ? Float64Array.from(learn, (row) => weights[row]!) : undefined,
    };
  });
  return engines.map((engine): OutOfFold => {
    const probabilities = new Float64Array(3 * x.n), models: Model[] = [];
    try {
      for (const part of parts) {
        const fitting = part.learnWeights ? { seed, weights: part.learnWeights } : { seed };
        const model = engine.fit(part.learnX, part.learnOutcome, fitting);
        if (options.keepModels) models.push(model);
        const found = model.probabilities(part.testX);
        part.test.forEach((row, i) => probabilities.set(found.subarray(3 * i, 3 * i + 3), 3 * row));
      }
    } catch (error) {
      if (error instanceof RangeError) return { kind: "refused", name: engine.name, reason: error.message };
      throw error;
    }
    return { kind: "predicted", name: engine.name, probabilities, models };
  });
}
