import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  chance,
  logisticProbabilities,
  logisticRegression,
  multinomialLogistic,
  multinomialProbabilities,
} from "../../lib/numbers/mod.ts";
import separation from "./data/separation.json" with { type: "json" };

/** Rows of two columns with classes that overlap. */
function overlapping(seed: number, rows: number) {
  const draw = chance(seed, "test/logit");
  const columns = [new Float64Array(rows), new Float64Array(rows)];
  const outcome = new Int32Array(rows);
  for (let i = 0; i < rows; i++) {
    columns[0]![i] = draw.normal();
    columns[1]![i] = 100 + 20 * draw.normal();
    const scores = [0, columns[0]![i]!, (columns[1]![i]! - 100) / 20 - 0.5];
    const noisy = scores.map((score) => score - Math.log(-Math.log(draw.next())));
    outcome[i] = noisy.indexOf(Math.max(...noisy));
  }
  return { columns, outcome };
}

describe("multinomialLogistic()", () => {
  test("finds back the coefficients that made the rows", () => {
    const { columns, outcome } = overlapping(1, 4000);
    const fit = multinomialLogistic(columns, outcome);
    if (fit.status !== "converged") expect.fail(fit.reason);
    [[0, 1, 0], [-5.5, 0, 0.05]].forEach((truth, a) => {
      truth.forEach((value, j) => {
        const error = fit.standardErrors[a + 1]![j]!;
        expect(Math.abs(fit.coefficients[a + 1]![j]! - value)).toBeLessThan(4 * error);
      });
    });
  });
  test("fitted shares add up to what came, class by class, with and without a ridge", () => {
    const { columns, outcome } = overlapping(2, 200);
    for (const ridge of [0, 3]) {
      const fit = multinomialLogistic(columns, outcome, { ridge });
      if (fit.status !== "converged") expect.fail(fit.reason);
      const shares = multinomialProbabilities(fit.coefficients, columns);
      for (let k = 0; k < 3; k++) {
        let sum = 0;
        for (let i = 0; i < 200; i++) sum += shares[3 * i + k]!;
        expect(sum).toBeCloseTo(outcome.filter((y) => y === k).length, 6);
      }
    }
  });
  test("a ridge favours no class: renaming the classes renames the forecasts", () => {
    const { columns, outcome } = overlapping(3, 120);
    const renamed = outcome.map((y) => 2 - y);
    const one = multinomialLogistic(columns, outcome, { ridge: 2 }),
      other = multinomialLogistic(columns, renamed, { ridge: 2 });
    if (one.status !== "converged" || other.status !== "converged") expect.fail("no fit");
    const a = multinomialProbabilities(one.coefficients, columns),
      b = multinomialProbabilities(other.coefficients, columns);
    for (let i = 0; i < 120; i++) {
      for (let k = 0; k < 3; k++) expect(a[3 * i + k]).toBeCloseTo(b[3 * i + 2 - k]!, 9);
    }
  });
  test("a standardised ridge does not care for units", () => {
    const { columns, outcome } = overlapping(4, 120);
    const scaled = [columns[0]!.map((x) => 1000 * x - 7), columns[1]!];
    const options = { ridge: 2, standardise: true };
    const one = multinomialLogistic(columns, outcome, options),
      other = multinomialLogistic(scaled, outcome, options);
    if (one.status !== "converged" || other.status !== "converged") expect.fail("no fit");
    const a = multinomialProbabilities(one.coefficients, columns),
      b = multinomialProbabilities(other.coefficients, scaled);
    a.forEach((share, i) => expect(share).toBeCloseTo(b[i]!, 9));
  });
  test("a weight of 2 is the row twice, a weight of 0 no row", () => {
    const { columns, outcome } = overlapping(5, 60);
    const twice = multinomialLogistic(
      columns.map((column) => Float64Array.from([...column, ...column.slice(0, 20)])),
      Int32Array.from([...outcome, ...outcome.slice(0, 20)]),
      { ridge: 1 },
    );
    const weighted = multinomialLogistic(
      columns.map((column) => Float64Array.from([...column, 50])),
      Int32Array.from([...outcome, 1]),
      { ridge: 1, weights: Float64Array.from({ length: 61 }, (_, i) => i < 20 ? 2 : i < 60 ? 1 : 0) },
    );
    if (twice.status !== "converged" || weighted.status !== "converged") expect.fail("no fit");
    twice.coefficients.flat().forEach((value, i) =>
      expect(weighted.coefficients.flat()[i]).toBeCloseTo(value, 8)
    );
  });
  test("a class without cases gets probability 0, and one class alone is a typed failure", () => {
    const fit = multinomialLogistic([[1, 2, 3, 4]], [0, 2, 0, 2], { classes: 4, ridge: 1 });
    if (fit.status !== "converged") expect.fail(fit.reason);
    expect(fit.present).toEqual([0, 2]);
    const shares = multinomialProbabilities(fit.coefficients, [[2.5]]);
    expect([shares[1], shares[3]]).toEqual([0, 0]);
    expect(shares[0]! + shares[2]!).toBeCloseTo(1, 12);
    expect(multinomialLogistic([[1, 2]], [1, 1])).toMatchObject({
      status: "one-class",
      reason: "All cases are of one class",
    });
    expect(multinomialLogistic([[]], [], { classes: 3 })).toMatchObject({ status: "one-class" });
  });
  test("columns that cannot be told apart are a typed failure without a ridge and a fit with one", () => {
    const columns = [[1, 2, 3, 4, 5, 6], [2, 4, 6, 8, 10, 12]];
    const outcome = [0, 1, 0, 1, 0, 1];
    expect(logisticRegression(columns, outcome)).toMatchObject({ status: "collinear" });
    expect(logisticRegression([[3, 3, 3, 3, 3, 3]], outcome)).toMatchObject({ status: "collinear" });
    expect(logisticRegression(columns, outcome, { ridge: 1 }).status).toBe("converged");
  });
  test("says converged or says why, and never gives NaN", () => {
    const row = fc.tuple(
      fc.integer({ min: -3, max: 3 }),
      fc.integer({ min: -2, max: 2 }),
      fc.integer({ min: 0, max: 2 }),
    );
    fc.assert(
      fc.property(
        fc.array(row, { minLength: 0, maxLength: 14 }),
        fc.constantFrom(0, 0.01, 5),
        (rows, ridge) => {
          const columns = [rows.map(([a]) => a), rows.map(([, b]) => b)];
          const fit = multinomialLogistic(columns, rows.map(([, , y]) => y), { classes: 3, ridge });
          if (fit.status === "converged") {
            for (const list of [...fit.coefficients, ...fit.standardErrors]) {
              for (const value of list) expect(Number.isFinite(value)).toBe(true);
            }
          } else {
            expect(fit.reason).toMatch(/^[A-Z]/);
            expect(Number.isFinite(fit.devianceReached)).toBe(true);
            if (ridge > 0) expect(fit.status).toBe("one-class");
          }
        },
      ),
      { seed: 1, numRuns: 200 },
    );
  });
  test("quasi-complete separation on two tied values is reported as such", () => {
    // Cases at 3 are of both kinds, all others told apart: the deviance can fall to that of one even throw of two.
    const fit = logisticRegression([[1, 2, 3, 3, 4, 5]], [0, 0, 0, 1, 1, 1]);
    expect(fit).toMatchObject({ status: "separated", separation: "quasi-complete" });
    if (fit.status === "converged") expect.fail("a fit that cannot exist");
    expect(fit.devianceReached).toBeCloseTo(4 * Math.log(2), 5);
  });
  test.each(["none", "complete", "quasi-complete"] as const)(
    "agrees with linear programming: separation %s",
    (kind) => {
      for (const { columns, outcome } of separation[kind]) {
        const fit = multinomialLogistic(columns, outcome);
        if (kind === "none") expect(fit.status).toBe("converged");
        else expect(fit).toMatchObject({ status: "separated", separation: kind });
      }
    },
  );
  test("inputs stay as they are and refusals say the rule", () => {
    const columns = Object.freeze([Object.freeze([1, 2, 3, 4])]), outcome = Object.freeze([0, 1, 0, 1]);
    logisticRegression(columns, outcome);
    expect(columns[0]).toEqual([1, 2, 3, 4]);
    expect(() => multinomialLogistic([[1, NaN]], [0, 1])).toThrow(
      new RangeError(
        "Cannot fit a multinomial logistic regression: column 0 must hold finite numbers, got NaN in row 1",
      ),
    );
    expect(() => multinomialLogistic([[1]], [0, 1])).toThrow(
      new RangeError(
        "Cannot fit a multinomial logistic regression: column 0 must be as long as the outcome, 2, got 1",
      ),
    );
    expect(() => multinomialLogistic([[1, 2]], [0, 3], { classes: 3 })).toThrow(
      new RangeError(
        "Cannot fit a multinomial logistic regression: outcomes must be classes from 0 to 2, got 3 in row 1",
      ),
    );
    expect(() => logisticRegression([[1, 2]], [0, 1], { standardise: true })).toThrow(
      new RangeError("Cannot fit a logistic regression: standardise has no effect without a ridge"),
    );
    expect(() => logisticRegression([[1, 2]], [0, 1], { ridge: -1 })).toThrow(
      new RangeError("Cannot fit a logistic regression: ridge must be 0 or above, got -1"),
    );
    expect(() => logisticProbabilities([0, 1], [])).toThrow(
      new RangeError("Cannot forecast: need 1 columns for these coefficients, got 0"),
    );
    expect(() => multinomialProbabilities([[], []], [])).toThrow(
      new RangeError("Cannot forecast: no class has coefficients"),
    );
  });
  test("probabilities stay finite far outside the columns", () => {
    expect([...logisticProbabilities([0, 1], [[-1e6, 1e6]])]).toEqual([0, 1]);
    expect([...multinomialProbabilities([[0, 0], [0, 1]], [[1e6]])]).toEqual([0, 1]);
  });
});
