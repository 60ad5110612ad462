import { describe, expect, test } from "vitest";
import { baseRates } from "../../lib/model/base_rates.ts";
import { crossValidate } from "../../lib/model/cross_validate.ts";
import { type Folds, groupFolds } from "../../lib/model/folds.ts";
import { learningCurve } from "../../lib/model/learning_curve.ts";
import { ridgeLogistic } from "../../lib/model/ridge_logistic.ts";
import { learningTables } from "../../lib/model/season_tables.ts";
import { isPresent } from "../../lib/numbers/mod.ts";
import { madeSeason } from "./_season.ts";

const { x, outcome } = learningTables(madeSeason({ signals: 300, sites: 12 }))[0]!;
const folds = groupFolds(x, outcome) as Folds;
const engine = ridgeLogistic({ features: ["centre", "spread", "asymmetry"] });
const valueOf = (estimate: Parameters<typeof isPresent>[0]): number => {
  if (!isPresent(estimate)) throw new Error(estimate.reason);
  return estimate.value;
};

describe("learningCurve()", () => {
  test("with all sites it is the out-of-fold log loss; with fewer it learns from fewer and does worse", () => {
    const points = learningCurve(x, outcome, { seed: 1, folds, engine });
    const [found] = crossValidate(x, outcome, { seed: 1, folds, engines: [engine] });
    if (found?.kind !== "predicted") throw new Error("refused");
    const loss = outcome.reduce((sum, code, i) => sum - Math.log(found.probabilities[3 * i + code]!), 0) /
      x.n;
    expect(valueOf(points.at(-1)!.logLoss)).toBeCloseTo(loss, 12);
    const signals = points.map((point) => point.signals);
    expect(signals).toEqual([...signals].sort((a, b) => a - b));
    // Every signal is in all training parts but one.
    expect(points.at(-1)!.signals).toBeCloseTo(x.n * (folds.count - 1) / folds.count, 9);
    expect(valueOf(points[0]!.logLoss)).toBeGreaterThan(valueOf(points.at(-1)!.logLoss) + 0.02);
    expect(points[0]!.logLoss.n).toEqual({ signals: x.n, sites: 12 });
  });
  test("with out-of-fold chances given, all sites are not learnt from again and the point is the same", () => {
    const [found] = crossValidate(x, outcome, { seed: 1, folds, engines: [engine] });
    if (found?.kind !== "predicted") throw new Error("refused");
    const never = {
      name: "never",
      fit: () => {
        throw new Error("fitted again");
      },
    };
    const options = { seed: 1, folds, shares: [1] };
    expect(learningCurve(x, outcome, { ...options, engine: never, outOfFold: found.probabilities })).toEqual(
      learningCurve(x, outcome, { ...options, engine }),
    );
    expect(() => learningCurve(x, outcome, { ...options, engine, outOfFold: new Float64Array(3) })).toThrow(
      `Cannot draw learning curve: need ${3 * x.n} out-of-fold chances, got 3`,
    );
  });
  test("depends on the seed and nothing else", () => {
    const options = { seed: 1, folds, engine: baseRates(), shares: [0.3] };
    const first = learningCurve(x, outcome, options);
    expect(learningCurve(x, outcome, options)).toEqual(first);
    expect(learningCurve(x, outcome, { ...options, seed: 2 })).not.toEqual(first);
  });
  test("takes another site where a draw holds one outcome; absent where no draw has two", () => {
    // Site 0 alone has a good; the small share still finds two outcomes to learn from, except where site 0 is held out.
    const only = Uint8Array.from(x.groups.site, (site) => site === 0 ? 1 : 0);
    const [point] = learningCurve(x, only, { seed: 1, folds, engine: baseRates(), shares: [0.1] });
    expect(point!.logLoss).toMatchObject({ absent: "too few" });
    const two = Uint8Array.from(x.groups.site, (site) => site < 4 ? 1 : 0);
    expect(
      isPresent(learningCurve(x, two, { seed: 1, folds, engine: baseRates(), shares: [0.1] })[0]!.logLoss),
    ).toBe(true);
  });
  test("refuses shares and draws outside their ranges", () => {
    const options = { seed: 1, folds, engine: baseRates() };
    expect(() => learningCurve(x, outcome, { ...options, shares: [0] })).toThrow(
      "Cannot draw learning curve: shares must be above 0 and at most 1, got 0",
    );
    expect(() => learningCurve(x, outcome, { ...options, draws: 0 })).toThrow(
      "Cannot draw learning curve: draws must be a whole number of 1 or above, got 0",
    );
  });
});
