import { absent, chance, type Estimate } from "../numbers/mod.ts";
import type { Classifier } from "./classifier.ts";
import { type FeatureTable, takeRows } from "./feature_table.ts";
import type { Folds } from "./folds.ts";
import { ratioBySite } from "./ratio_by_site.ts";

/** How an engine does that learnt from a part of the sites. */
export interface LearningPoint {
  /** Share of the other folds' sites or outings that it learnt from. */
  readonly share: number;
  /** Signals it learnt from, on average over folds and draws. */
  readonly signals: number;
  /** Masked goods among them, on average. */
  readonly maskedGoods: number;
  /** Log loss on sites it had not seen; absent where no draw had two outcomes to learn from. */
  readonly logLoss: Estimate;
}

/** Options of {@link learningCurve}. */
export interface LearningCurveOptions {
  readonly seed: number;
  readonly folds: Folds;
  readonly engine: Classifier;
  /** Shares, above 0 and at most 1. Default a quarter, a half, three quarters and all. */
  readonly shares?: readonly number[];
  /** Draws of sites a fold and share, averaged. Default 3; all of them need one. */
  readonly draws?: number;
  /** What intervals go by, for `n`. Default "sites". */
  readonly units?: string;
  /** Chances of this engine on these folds and seed, where `crossValidate` gave them: a share of 1 is then not fitted again. */
  readonly outOfFold?: Float64Array;
}

/**
 * Tells how an engine's log loss on unseen sites falls with what it learnt from: a share of the sites (or outings) of the other folds,
 * drawn whole, one after another in the order of a shuffle, so that a larger share holds the smaller one.
 *
 * Every signal is judged at every share, by the mean over draws. A draw without two outcomes, or that the engine refuses, takes the next
 * site in addition. Outcomes are 0, 1, 2 a row. Throws RangeError for shares or draws outside their ranges, and for
 * out-of-fold chances that are not three a row.
 *
 * @example
 * ```ts
 * import { baseRates, groupFolds, isPresent, learningCurve } from "overiron";
 * const n = 80, group = Int32Array.from({ length: n }, (_, i) => i % 8);
 * const x = { n, names: [], columns: [], whyMissing: [], groups: { site: group, outing: group, observer: group } };
 * const outcome = Uint8Array.from({ length: n }, (_, i) => i % 3 === 0 ? 1 : 0);
 * const folds = groupFolds(x, outcome);
 * if (folds.kind !== "folds") throw new Error(folds.reason);
 * const [quarter, all] = learningCurve(x, outcome, { seed: 1, folds, engine: baseRates(), shares: [0.25, 1] });
 * if (!(quarter!.signals < all!.signals) || !isPresent(all!.logLoss)) throw new Error("wrong");
 * ```
 */
export function learningCurve(
  x: FeatureTable,
  outcome: Uint8Array,
  options: LearningCurveOptions,
): LearningPoint[] {
  const { seed, folds, engine, shares = [0.25, 0.5, 0.75, 1], draws = 3, units = "sites", outOfFold } =
    options;
  const bad = shares.find((share) => !(share > 0 && share <= 1));
  if (bad !== undefined) {
    throw new RangeError(`Cannot draw learning curve: shares must be above 0 and at most 1, got ${bad}`);
  }
  if (!Number.isSafeInteger(draws) || draws < 1) {
    throw new RangeError(
      `Cannot draw learning curve: draws must be a whole number of 1 or above, got ${draws}`,
    );
  }
  if (outOfFold !== undefined && outOfFold.length !== 3 * x.n) {
    throw new RangeError(
      `Cannot draw learning curve: need ${3 * x.n} out-of-fold chances, got ${outOfFold.length}`,
    );
  }
  const group = folds.unit === "site" ? x.groups.site : x.groups.outing;
  const one = new Float64Array(x.n).fill(1);
  return shares.map((share) => {
    const losses = new Float64Array(x.n), times = share === 1 ? 1 : draws;
    let signals = 0, maskedGoods = 0, fits = 0, failed = false;
    for (let fold = 0; fold < folds.count; fold++) {
      const test: number[] = [], rowsOf = new Map<number, number[]>();
      folds.of.forEach((of, row) => {
        if (of === fold) test.push(row);
        else {
          const held = rowsOf.get(group[row]!);
          if (held) held.push(row);
          else rowsOf.set(group[row]!, [row]);
        }
      });
      const ids = [...rowsOf.keys()].sort((a, b) => a - b), asked = takeRows(x, test);
      const count = (rows: readonly number[]): void => {
        signals += rows.length;
        maskedGoods += rows.filter((row) => outcome[row] === 2).length;
        fits++;
      };
      if (share === 1 && outOfFold !== undefined) {
        for (const row of test) losses[row] = -Math.log(outOfFold[3 * row + outcome[row]!]!);
        count([...rowsOf.values()].flat());
        continue;
      }
      for (let draw = 0; draw < times; draw++) {
        const order = share === 1
          ? ids
          : chance(seed, "model/learning curve", fold * draws + draw).shuffle([...ids]);
        const fitted = fitFrom(order, rowsOf, Math.max(1, Math.round(share * ids.length)));
        if (fitted === null) {
          failed = true;
          continue;
        }
        const p = fitted.model.probabilities(asked);
        test.forEach((row, i) => losses[row]! -= Math.log(p[3 * i + outcome[row]!]!) / times);
        count(fitted.rows);
      }
    }
    return {
      share,
      signals: fits === 0 ? 0 : signals / fits,
      maskedGoods: fits === 0 ? 0 : maskedGoods / fits,
      logLoss: failed
        ? absent("too few", `A share of ${share} holds too little to learn from`, { signals: x.n })
        : ratioBySite(losses, one, group, { groups: units }),
    };
  });

  function fitFrom(order: readonly number[], rowsOf: ReadonlyMap<number, number[]>, least: number) {
    for (let taken = least; taken <= order.length; taken++) {
      const rows = order.slice(0, taken).flatMap((id) => rowsOf.get(id)!).sort((a, b) => a - b);
      const learnt = Uint8Array.from(rows, (row) => outcome[row]!);
      if (new Set(learnt).size < 2) continue;
      try {
        return { rows, model: engine.fit(takeRows(x, rows), learnt, { seed }) };
      } catch (error) {
        if (!(error instanceof RangeError)) throw error;
      }
    }
    return null;
  }
}
