import { absent, type Estimate, isPresent, present, studentQuantile } from "../numbers/mod.ts";
import { outcomeCountsOf } from "./classifier.ts";
import { correctChances } from "./correct_chances.ts";
import type { Correction } from "./correction.ts";
import { correctionFit } from "./_fit_correction.ts";
import { ratioBySite } from "./ratio_by_site.ts";

/** From so many cases of the rarest outcome on, a free rising curve is fitted; below, a single number. */
export const LEAST_FOR_ISOTONIC = 200;

/** The share of a normal curve within one standard error of its middle. */
const WITHIN_ONE_ERROR = 0.6827;

/** Whether an engine's chances get better when they are corrected by what came out elsewhere, and the chances to use. */
export interface Recalibration {
  readonly method: Correction["method"];
  /** Out-of-fold probabilities after correction, n x 3 by row; each row corrected by rows of other folds only. */
  readonly probabilities: Float64Array;
  readonly before: Estimate;
  readonly after: Estimate;
  /** Log loss after less before, signal by signal: below 0 the correction helps. */
  readonly change: Estimate;
  /** Whether that change is below 0 by more than its standard error: only then is a model learnt from all rows to be corrected. */
  readonly helps: boolean;
  /** The correction fitted to all rows, for such a model; null where it does not help. */
  readonly correction: Correction | null;
  /** The probabilities as they were given. */
  readonly plain: Float64Array;
  /** Chances chosen anew for each fold, n x 3 by row: corrected where the other folds alone spoke for it, as they were in the rest. */
  readonly used: Float64Array;
  /** Log loss of those less before: what choosing and correcting brings, judged on rows that had no part in either. */
  readonly usedChange: Estimate;
  readonly folds: number;
  readonly foldsCorrected: number;
  /** Above 1 the chances were too sure, below 1 too shy; absent with the isotonic curve. Interval by leaving out one fold at a time. */
  readonly temperature: Estimate;
}

/** Options of {@link recalibration}. */
export interface RecalibrationOptions {
  /** The fold of each row, from 0: a row is corrected by what came out in the other folds. */
  readonly fold: Int32Array;
  /** What intervals go by, a number a row. */
  readonly group: Int32Array;
  /** What that is, for `n`. Default "sites". */
  readonly groups?: string;
  /** 2: only the chance of ferrous against all goods is corrected, and the goods are shared out as before. Default 3. */
  readonly classes?: 2 | 3;
}

/**
 * Corrects out-of-fold probabilities by what came out in the other folds, tells whether that lowers the log loss there, and gives the
 * chances to use.
 *
 * With fewer than 200 cases of the rarest outcome met a temperature T is fitted: p^(1/T), scaled to sum to 1 (Guo, Pleiss, Sun and
 * Weinberger 2017, PMLR 70:1321-1330). From 200 on, a rising curve an outcome (isotonic regression), scaled to sum to 1 (Zadrozny
 * and Elkan 2002, KDD, 694-699) and lifted off nought (see {@link floorProbabilities}). No row has a part in its own correction.
 *
 * The simpler way stands unless the other is better by more than its standard error (the rule of Breiman, Friedman, Olshen and Stone 1984,
 * Classification and Regression Trees, section 3.4.3): chances stay as they are unless the whole 68 % interval of the change lies below 0. For
 * `used` that is asked anew for each fold, of the other folds alone, each of them corrected by the rest of them: what is judged has no part in
 * fitting the correction or in choosing it. (The engine behind the chances of those other folds did learn from the fold judged.)
 *
 * `probabilities` is n x 3 by row, all above 0; `outcome` 0, 1 or 2 a row. Absent numbers where folds or groups are under two.
 * Throws RangeError when lengths differ or a probability is not above 0.
 *
 * @example
 * ```ts
 * import { isPresent, recalibration } from "overiron";
 * // Given 99 % each time, right four times in five: far too sure.
 * const n = 100, fold = Int32Array.from({ length: n }, (_, i) => i % 4);
 * const outcome = Uint8Array.from({ length: n }, (_, i) => Math.floor(i / 4) % 5 === 0 ? 1 : 0);
 * const p = Float64Array.from({ length: 3 * n }, (_, at) => at % 3 === 0 ? 0.99 : 0.005);
 * const { helps, temperature } = recalibration(p, outcome, { fold, group: fold });
 * if (!helps || !isPresent(temperature) || !(temperature.value > 1)) throw new Error("too sure");
 * ```
 */
export function recalibration(
  probabilities: Float64Array,
  outcome: Uint8Array,
  options: RecalibrationOptions,
): Recalibration {
  const { fold, group, groups = "sites", classes = 3 } = options;
  const n = outcome.length;
  if (probabilities.length !== 3 * n || fold.length !== n || group.length !== n) {
    throw new RangeError(
      `Cannot recalibrate: need 3 probabilities, one fold and one group a row, got ${probabilities.length}, ${fold.length} and ${group.length} for ${n} rows`,
    );
  }
  const bad = probabilities.findIndex((p) => !(p > 0 && p <= 1 + 1e-9));
  if (bad >= 0) {
    throw new RangeError(
      `Cannot recalibrate: probabilities must be above 0 and at most 1, got ${probabilities[bad]!} in row ${
        Math.floor(bad / 3)
      }`,
    );
  }
  const truth = classes === 3 ? outcome : outcome.map((code) => Math.min(code, 1));
  const met = outcomeCountsOf(truth).filter((count) => count > 0);
  const method = Math.min(...met) < LEAST_FOR_ISOTONIC || n === 0 ? "temperature" : "isotonic";
  const fit = correctionFit(probabilities, truth, { method, classes });
  const all = [...outcome.keys()];
  const folds = [...new Set(fold)].sort((a, b) => a - b);
  const rowsOf = new Map(folds.map((id) => [id, all.filter((i) => fold[i] === id)]));
  const fitWithout = (...out: readonly number[]): Correction | null =>
    fit(all.filter((i) => !out.includes(fold[i]!)));
  const lossOf = (from: Float64Array, i: number, row = i) =>
    -Math.log(Math.min(1, from[3 * row + outcome[i]!]!));
  const before = Float64Array.from(all, (i) => lossOf(probabilities, i));
  /** The chances of one fold, row after row, after a correction. */
  const foldBy = (id: number, correction: Correction | null): Float64Array => {
    const rows = rowsOf.get(id)!, own = new Float64Array(3 * rows.length);
    rows.forEach((i, at) => own.set(probabilities.subarray(3 * i, 3 * i + 3), 3 * at));
    return correction === null ? own : correctChances(own, correction);
  };
  const meanBySite = (values: ArrayLike<number>, rows: readonly number[], level = 0.95): Estimate =>
    ratioBySite(values, rows.map(() => 1), rows.map((i) => group[i]!), { groups, level });
  const speaksForIt = (changes: ArrayLike<number>, rows: readonly number[]): boolean => {
    const change = meanBySite(changes, rows, WITHIN_ONE_ERROR);
    return isPresent(change) && change.interval.high < 0;
  };

  const corrected = probabilities.slice(), used = probabilities.slice(), whole = fit(all);
  const without = folds.length < 2 ? [] : folds.map((id) => fitWithout(id));
  // What a correction without two folds does to either of them is what that fold says when the other one's chances are chosen.
  const changesFor = folds.map(() => new Float64Array(n));
  folds.forEach((one, k) =>
    folds.slice(0, k).forEach((other, l) => {
      const correction = fitWithout(one, other);
      for (const [id, absentee] of [[one, l], [other, k]] as const) {
        const chances = foldBy(id, correction);
        rowsOf.get(id)!.forEach((i, at) => changesFor[absentee]![i] = lossOf(chances, i, at) - before[i]!);
      }
    })
  );
  let foldsCorrected = 0;
  without.forEach((correction, k) => {
    const id = folds[k]!, others = all.filter((i) => fold[i] !== id);
    const chosen = speaksForIt(others.map((i) => changesFor[k]![i]!), others);
    const chances = foldBy(id, correction);
    rowsOf.get(id)!.forEach((i, at) => {
      const row = chances.subarray(3 * at, 3 * at + 3);
      corrected.set(row, 3 * i);
      if (chosen) used.set(row, 3 * i);
    });
    if (chosen) foldsCorrected++;
  });
  const after = Float64Array.from(all, (i) => lossOf(corrected, i));
  const changes = after.map((loss, i) => loss - before[i]!);
  const helps = whole !== null && speaksForIt(changes, all);
  return {
    method,
    probabilities: corrected,
    before: meanBySite(before, all),
    after: meanBySite(after, all),
    change: meanBySite(changes, all),
    helps,
    correction: helps ? whole : null,
    plain: probabilities,
    used,
    usedChange: meanBySite(all.map((i) => lossOf(used, i) - before[i]!), all),
    folds: folds.length,
    foldsCorrected,
    temperature: temperatureOf(method, [whole, ...without], { signals: n, folds: folds.length }),
  };
}

/** The temperature fitted to all rows (the first), with a jackknife interval over folds on the log scale (Efron and Tibshirani 1993, section 11). */
function temperatureOf(
  method: Recalibration["method"],
  fitted: readonly (Correction | null)[],
  n: { readonly signals: number; readonly folds: number },
): Estimate {
  if (method === "isotonic") return absent("curve", "A rising curve was fitted instead of a temperature", n);
  if (fitted.length < 3) return absent("one fold", "A temperature needs signals of two folds or more", n);
  const temperatures = fitted.flatMap((each) => each?.method === "temperature" ? [each.temperature] : []);
  if (temperatures.length < fitted.length) {
    return absent("no best", "No temperature fits best: the chances tell nothing, or all", n);
  }
  const [temperature, ...others] = temperatures;
  const logs = others.map(Math.log), count = logs.length;
  const middle = logs.reduce((sum, log) => sum + log, 0) / count;
  const error = Math.sqrt((count - 1) / count * logs.reduce((sum, log) => sum + (log - middle) ** 2, 0));
  const t = studentQuantile(0.975, count - 1);
  return present(temperature!, {
    low: Math.exp(-t * error) * temperature!,
    high: Math.exp(t * error) * temperature!,
    level: 0.95,
    method: `jackknife over folds, t with ${count - 1} df, log scale`,
  }, n);
}
