import { floorProbabilities, type Model } from "./classifier.ts";
import type { Correction } from "./correction.ts";
import { heightOf } from "./_rising_curve.ts";

/** Chances of what is told apart: the three outcomes, or ferrous and all goods. */
export function classesOf(probabilities: Float64Array, i: number, classes: 2 | 3): number[] {
  const ferrous = probabilities[3 * i]!,
    plain = probabilities[3 * i + 1]!,
    masked = probabilities[3 * i + 2]!;
  return classes === 3 ? [ferrous, plain, masked] : [ferrous, plain + masked];
}

/**
 * Corrects chances as a {@link Correction} says: by a temperature, p^(1 / T) scaled to sum to 1, or by a rising curve a class, scaled to sum to 1
 * and lifted off nought. With two classes the goods are shared out as they were before.
 *
 * `probabilities` is n x 3 by row, all above 0; a new array of that shape comes back, rows sum to 1. A row that every curve puts at nought
 * stays as it is.
 *
 * @example
 * ```ts
 * import { correctChances } from "overiron";
 * const shy = correctChances(Float64Array.of(0.8, 0.1, 0.1), { version: 1, method: "temperature", classes: 3, temperature: 0.5 });
 * if (Math.abs(shy[0]! - 0.64 / 0.66) > 1e-12) throw new Error(String(shy));
 * ```
 */
export function correctChances(probabilities: Float64Array, correction: Correction): Float64Array {
  const { classes } = correction;
  const out = probabilities.slice();
  for (let i = 0; i < probabilities.length / 3; i++) {
    const given = classesOf(probabilities, i, classes);
    const raised = correction.method === "temperature"
      ? powers(given, 1 / correction.temperature)
      : given.map((chance, k) => heightOf(correction.curves[k]!, chance));
    const sum = raised.reduce((total, each) => total + each, 0);
    if (!(sum > 0)) continue;
    const [ferrous, plain, masked] = raised.map((each) => each / sum);
    const row = masked === undefined
      ? [
        ferrous!,
        plain! * probabilities[3 * i + 1]! / given[1]!,
        plain! * probabilities[3 * i + 2]! / given[1]!,
      ]
      : [ferrous!, plain!, masked];
    out.set(
      correction.method === "isotonic"
        ? floorProbabilities(Float64Array.from(row), correction.learntFrom)
        : row.map((each) => Math.max(1e-300, each)),
      3 * i,
    );
  }
  return out;
}

/** Powers of chances, up to one factor: the likeliest becomes 1, so that none is lost to rounding before it must. */
function powers(given: readonly number[], power: number): number[] {
  const logs = given.map(Math.log), top = Math.max(...logs);
  return logs.map((log) => Math.exp(power * (log - top)));
}

/**
 * Gives a model whose chances pass a correction before they are seen, and whose saved form carries it.
 *
 * @example
 * ```ts
 * import { baseRates, correctedModel, loadModel } from "overiron";
 * const group = Int32Array.of(0, 0, 0);
 * const x = { n: 3, names: [], columns: [], whyMissing: [], groups: { site: group, outing: group, observer: group } };
 * const plain = baseRates().fit(x, Uint8Array.of(0, 0, 1), { seed: 1 });
 * const shy = correctedModel(plain, { version: 1, method: "temperature", classes: 3, temperature: 0.5 });
 * if (!(shy.probabilities(x)[0]! > plain.probabilities(x)[0]!)) throw new Error("not corrected");
 * if (loadModel(JSON.stringify(shy)).probabilities(x)[0] !== shy.probabilities(x)[0]) throw new Error("not carried");
 * ```
 */
export function correctedModel(model: Model, correction: Correction): Model {
  return {
    probabilities: (x) => correctChances(model.probabilities(x), correction),
    toJSON: () => ({ ...model.toJSON(), recalibration: correction }),
  };
}
