import { checkFit, type Classifier, floorProbabilities, type Model, modelFile } from "./classifier.ts";

/**
 * Makes an engine learn two outcomes only, what is worth a hole against ferrous, where masked goods are too few for a class of
 * their own. The probability of the goods is then shared between non-ferrous and masked good as the signals learnt from are.
 *
 * @example
 * ```ts
 * import { baseRates, twoClasses } from "overiron";
 * if (twoClasses(baseRates()).name !== "base rates") throw new Error("the name is the engine's");
 * ```
 */
export function twoClasses(engine: Classifier): Classifier {
  return {
    name: engine.name,
    fit(x, outcome, options) {
      const weights = checkFit(x, outcome, options);
      let goods = 0, masked = 0;
      outcome.forEach((code, i) => {
        if (code > 0) goods += weights[i]!;
        if (code === 2) masked += weights[i]!;
      });
      const share = goods > 0 ? masked / goods : 0.5;
      return twoClassModel(
        engine.fit(x, Uint8Array.from(outcome, (code) => code > 0 ? 1 : 0), options),
        share,
        x.n,
      );
    },
  };
}

export function twoClassModel(inner: Model, maskedShare: number, learntFrom: number): Model {
  return {
    probabilities(x) {
      const p = inner.probabilities(x);
      for (let i = 0; i < p.length; i += 3) {
        // The inner engine's floor gave the third outcome 1 / (n + 3) of its own: undo it before the goods are shared out.
        const lift = (at: number) => Math.max(0, ((learntFrom + 3) * p[i + at]! - 1) / learntFrom);
        const ferrous = lift(0), goods = Math.max(0, 1 - ferrous);
        p[i] = ferrous;
        p[i + 1] = goods * (1 - maskedShare);
        p[i + 2] = 1 - ferrous - p[i + 1]!;
      }
      return floorProbabilities(p, learntFrom);
    },
    toJSON() {
      const file = inner.toJSON();
      const { name, features } = file;
      return modelFile({
        engine: "two-classes",
        name,
        learntFrom,
        features,
        parameters: { inner: file, maskedShare },
      });
    },
  };
}
