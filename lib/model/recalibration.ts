import { absent, type Estimate, present, studentQuantile } from "../numbers/mod.ts";
import { risingCurve } from "./_rising_curve.ts";
import { floorProbabilities, outcomeCountsOf } from "./classifier.ts";
import { ratioBySite } from "./ratio_by_site.ts";

/** From so many cases of the rarest outcome on, a free rising curve is fitted; below, a single number. */
export const LEAST_FOR_ISOTONIC = 200;

/** Whether an engine's chances get better when they are corrected by what came out elsewhere. */
export interface Recalibration {
  readonly method: "temperature" | "isotonic";
  /** Out-of-fold probabilities after correction, n x 3 by row; each row corrected by rows of other folds only. */
  readonly probabilities: Float64Array;
  readonly before: Estimate;
  readonly after: Estimate;
  /** Log loss after less before, signal by signal: below 0 the correction helps. */
  readonly change: Estimate;
  /** Whether the log loss on held-out rows is lower with the correction: only then is it to be used. */
  readonly helps: boolean;
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
}

type Rows = readonly number[];

/** The power that makes p^power, scaled to sum to 1, fit what came out best: Newton's method on a convex loss, 0 to 20. */
function bestPower(logs: Float64Array, outcome: Uint8Array, rows: Rows): number {
  let power = 1;
  for (let step = 0; step < 50; step++) {
    let slope = 0, bend = 0;
    for (const i of rows) {
      let sum = 0, mean = 0, square = 0;
      const top = power * Math.max(logs[3 * i]!, logs[3 * i + 1]!, logs[3 * i + 2]!);
      for (let k = 0; k < 3; k++) {
        const log = logs[3 * i + k]!, weight = Math.exp(power * log - top);
        sum += weight;
        mean += weight * log;
        square += weight * log * log;
      }
      mean /= sum;
      slope += mean - logs[3 * i + outcome[i]!]!;
      bend += square / sum - mean * mean;
    }
    if (!(bend > 1e-12)) return power;
    const next = Math.min(20, Math.max(0, power - slope / bend));
    // A step too far is halved: the loss is convex, so its slope keeps its sign on one side of the best.
    const moved = Math.abs(next - power) > power + 1 ? (power + next) / 2 : next;
    if (Math.abs(moved - power) < 1e-9) return moved;
    power = moved;
  }
  return power;
}

/**
 * Corrects out-of-fold probabilities by what came out in the other folds, and tells whether that lowers the log loss there.
 *
 * With fewer than 200 cases of the rarest outcome met a temperature T is fitted: p^(1/T), scaled to sum to 1 (Guo, Pleiss, Sun and
 * Weinberger 2017, PMLR 70:1321-1330). From 200 on, a rising curve an outcome (isotonic regression), scaled to sum to 1 (Zadrozny
 * and Elkan 2002, KDD, 694-699) and lifted off nought (see {@link floorProbabilities}). No row has a part in its own correction.
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
  const { fold, group, groups = "sites" } = options;
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
  const met = outcomeCountsOf(outcome).filter((count) => count > 0);
  const method = Math.min(...met) < LEAST_FOR_ISOTONIC || n === 0 ? "temperature" : "isotonic";
  const folds = [...new Set(fold)].sort((a, b) => a - b);
  const logs = probabilities.map(Math.log), out = probabilities.slice();
  const all = [...outcome.keys()], powers: number[] = [];
  for (const judged of folds.length < 2 ? [] : folds) {
    const learn = all.filter((i) => fold[i] !== judged), test = all.filter((i) => fold[i] === judged);
    if (method === "temperature") {
      const power = bestPower(logs, outcome, learn);
      powers.push(power);
      for (const i of test) {
        const row = [0, 1, 2].map((k) => Math.exp(power * logs[3 * i + k]!));
        const sum = row[0]! + row[1]! + row[2]!;
        row.forEach((weight, k) => out[3 * i + k] = Math.max(1e-300, weight / sum));
      }
    } else {
      const curves = [0, 1, 2].map((k) =>
        risingCurve(learn.map((i) => probabilities[3 * i + k]!), learn.map((i) => outcome[i] === k ? 1 : 0))
      );
      for (const i of test) {
        const row = curves.map((curve, k) => curve(probabilities[3 * i + k]!));
        const sum = row[0]! + row[1]! + row[2]!;
        if (sum > 0) {
          out.set(floorProbabilities(Float64Array.from(row, (p) => p / sum), learn.length), 3 * i);
        }
      }
    }
  }
  const lossOf = (from: Float64Array) =>
    Float64Array.from(outcome, (code, i) => -Math.log(Math.min(1, from[3 * i + code]!)));
  const before = lossOf(probabilities), after = lossOf(out), one = new Float64Array(n).fill(1);
  const mean = (losses: Float64Array) => losses.reduce((sum, loss) => sum + loss, 0) / Math.max(1, n);
  return {
    method,
    probabilities: out,
    before: ratioBySite(before, one, group, { groups }),
    after: ratioBySite(after, one, group, { groups }),
    change: ratioBySite(after.map((loss, i) => loss - before[i]!), one, group, { groups }),
    helps: mean(after) < mean(before) - 1e-12,
    temperature: temperatureOf(
      method,
      powers,
      () => bestPower(logs, outcome, all),
      { signals: n, folds: folds.length },
    ),
  };
}

/** The temperature fitted to all rows, with a jackknife interval over folds on the log scale (Efron and Tibshirani 1993, section 11). */
function temperatureOf(
  method: Recalibration["method"],
  powers: readonly number[],
  whole: () => number,
  n: { readonly signals: number; readonly folds: number },
): Estimate {
  if (method === "isotonic") return absent("curve", "A rising curve was fitted instead of a temperature", n);
  if (powers.length < 2) return absent("one fold", "A temperature needs signals of two folds or more", n);
  const power = whole();
  if (!(power > 0 && power < 20) || powers.some((each) => !(each > 0 && each < 20))) {
    return absent("no best", "No temperature fits best: the chances tell nothing, or all", n);
  }
  const logs = powers.map((each) => -Math.log(each)), count = logs.length;
  const middle = logs.reduce((sum, log) => sum + log, 0) / count;
  const error = Math.sqrt((count - 1) / count * logs.reduce((sum, log) => sum + (log - middle) ** 2, 0));
  const t = studentQuantile(0.975, count - 1);
  return present(1 / power, {
    low: Math.exp(-t * error) / power,
    high: Math.exp(t * error) / power,
    level: 0.95,
    method: `jackknife over folds, t with ${count - 1} df, log scale`,
  }, n);
}
