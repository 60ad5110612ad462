import { checkProbability, checkValues } from "./_check_values.ts";
import { absent } from "./estimate.ts";
import { type Measure, measured } from "./measure.ts";

/**
 * How strange a class is for a case: "least-ambiguous" is 1 - p of the class; "adaptive" adds up the probabilities of all classes at least as
 * likely as it.
 */
export type ConformalKind = "least-ambiguous" | "adaptive";

export interface ConformalScoresOptions {
  /** Which score. Default "least-ambiguous". */
  readonly kind?: ConformalKind;
  /** One number in [0, 1) a case, from `chance`: takes u times p off the adaptive score. Default none. */
  readonly randomisers?: ArrayLike<number>;
}

/**
 * Gives the score of the class that came, for each case set aside for calibration.
 *
 * @param probabilities One row a case and one column a class.
 * @param outcome The class that came, one a case.
 * @returns One score a case, 0 to 1: the higher, the stranger.
 *
 * Sources: Sadinle, Lei and Wasserman (2019), JASA 114:223-234; Romano, Sesia and Candes (2020), Advances in Neural Information
 * Processing Systems 33. Throws RangeError for an outcome that is no class, or randomisers with the least-ambiguous score.
 *
 * @example
 * ```ts
 * import { conformalScores } from "overiron";
 * if (conformalScores([[0.75, 0.25]], [0])[0] !== 0.25) throw new Error("wrong");
 * ```
 */
export function conformalScores(
  probabilities: readonly ArrayLike<number>[],
  outcome: ArrayLike<number>,
  options: ConformalScoresOptions = {},
): Float64Array {
  return Float64Array.from(probabilities, (row, i) => {
    const y = outcome[i]!;
    if (!Number.isInteger(y) || y < 0 || y >= row.length) {
      throw new RangeError(
        `Cannot score a case: an outcome must be a class from 0 to ${row.length - 1}, got ${y}`,
      );
    }
    return classScore(row, y, i, options);
  });
}

function classScore(row: ArrayLike<number>, k: number, i: number, options: ConformalScoresOptions): number {
  const { kind = "least-ambiguous", randomisers } = options;
  if (kind === "least-ambiguous") {
    if (randomisers) {
      throw new RangeError("Cannot score a case: randomisers have no effect on the least-ambiguous score");
    }
    return 1 - row[k]!;
  }
  let sum = 0;
  for (let c = 0; c < row.length; c++) if (row[c]! >= row[k]!) sum += row[c]!;
  return sum - (randomisers?.[i] ?? 0) * row[k]!;
}

/**
 * Gives the score up to which classes belong to a prediction set, so that the set misses what comes in at most a share of new cases.
 *
 * @param scores Scores of the calibration cases, finite.
 * @param miss Share that may be missed, 0 to 1.
 * @returns The score number ceil((n + 1)(1 - miss)) in rising order; absent where there are too few cases for that share: then every class
 * belongs to every set.
 *
 * Source: Vovk, Gammerman and Shafer (2005), Algorithmic Learning in a Random World; holds for cases that could come in any order.
 * Throws RangeError for scores that are not finite or a share outside 0 to 1.
 *
 * @example
 * ```ts
 * import { conformalThreshold, isMeasured } from "overiron";
 * const threshold = conformalThreshold([0.1, 0.4, 0.2], 0.5);
 * if (!isMeasured(threshold) || threshold.value !== 0.2) throw new Error("wrong");
 * ```
 */
export function conformalThreshold(scores: ArrayLike<number>, miss: number): Measure {
  checkValues("set a threshold", scores, 0);
  checkProbability("set a threshold", "miss", miss);
  const n = scores.length;
  const rank = Math.ceil((n + 1) * (1 - miss) - 1e-9);
  if (rank > n) {
    return absent(
      "too few",
      `A share of ${miss} needs more cases: the threshold would be case ${rank} of ${n}`,
      { cases: n },
    );
  }
  const sorted = Float64Array.from(scores).sort();
  return measured(sorted[Math.max(0, rank - 1)]!, { cases: n });
}

export interface ConformalSetsOptions extends ConformalScoresOptions {
  /** Whether the adaptive set takes in the class at which the sum crosses the threshold, so that it is never empty. Default false. */
  readonly withCrossing?: boolean;
}

/**
 * Gives the set of classes that a case may be, for each new case.
 *
 * @param probabilities One row a case and one column a class.
 * @param thresholds One threshold for all classes, or one for each class (calibrated on the cases of that class alone); an absent one lets
 * its class into every set.
 * @returns For each case its classes in rising order; a set can be empty, which says that nothing fits.
 *
 * Throws RangeError when thresholds do not fit the classes.
 *
 * @example
 * ```ts
 * import { conformalSets, measured } from "overiron";
 * const [set] = conformalSets([[0.6, 0.3, 0.1]], [measured(0.7, { cases: 20 })]);
 * if (set!.join() !== "0,1") throw new Error("wrong");
 * ```
 */
export function conformalSets(
  probabilities: readonly ArrayLike<number>[],
  thresholds: readonly Measure[],
  options: ConformalSetsOptions = {},
): number[][] {
  // Sums of probabilities may miss a threshold by rounding alone.
  const guard = 1e-12;
  return probabilities.map((row, i) => {
    if (thresholds.length !== 1 && thresholds.length !== row.length) {
      throw new RangeError(`Cannot make sets: need 1 or ${row.length} thresholds, got ${thresholds.length}`);
    }
    const classes = Array.from({ length: row.length }, (_, k) => k);
    const limit = (k: number): number => {
      const threshold = thresholds.length === 1 ? thresholds[0]! : thresholds[k]!;
      return "value" in threshold ? threshold.value + guard : Infinity;
    };
    return classes.filter((k) => {
      if (classScore(row, k, i, options) <= limit(k)) return true;
      if (!options.withCrossing) return false;
      // The crossing class is the first before which the sum still lies below the threshold; ties come in together.
      let likelier = 0;
      for (let c = 0; c < row.length; c++) if (row[c]! > row[k]!) likelier += row[c]!;
      return likelier < limit(k) - 2 * guard;
    });
  });
}
