import { describe, expect, test } from "vitest";
import {
  logisticProbabilities,
  logisticRegression,
  multinomialLogistic,
  multinomialProbabilities,
} from "../../lib/numbers/mod.ts";
import iris from "./data/iris.json" with { type: "json" };
import logistic from "./data/logistic.json" with { type: "json" };
import { expectAbsolute, expectRelative } from "./_close.ts";

const species = ["setosa", "versicolor", "virginica"];
const columnsOf = (rows: readonly (readonly number[])[], which: readonly number[]) =>
  which.map((j) => rows.map((row) => row[j]!));

test("Challenger, six joints a flight", () => {
  const { data, expected } = logistic.challengerBinomial;
  const columns = [data.temperature_F];
  const fit = logisticRegression(columns, data.n_incidents_of_6, { trials: columns[0]!.map(() => 6) });
  if (fit.status !== "converged") expect.fail(fit.reason);
  expectRelative(fit.coefficients[0], expected.b0, 1e-8);
  expectRelative(fit.coefficients[1], expected.b1, 1e-8);
  expectRelative(fit.standardErrors[0], expected.se0, 1e-6);
  expectRelative(fit.standardErrors[1], expected.se1, 1e-6);
  expectRelative(fit.covariance[0]![1], expected.cov01, 1e-6);
  expectAbsolute(fit.deviance, expected.G2, 1e-8);
  expectAbsolute(fit.nullDeviance, expected.null_dev, 1e-8);
  expect(fit.degreesOfFreedom).toBe(expected.df);
  expectRelative(logisticProbabilities(fit.coefficients, [[31]])[0], expected.p31, 1e-8);
});

test("Challenger, any incident on the flight", () => {
  const { data, expected } = logistic.challengerBinary;
  const fit = logisticRegression([data.temperature_F], data.any_incident);
  if (fit.status !== "converged") expect.fail(fit.reason);
  expectRelative(fit.coefficients[0], expected.b0, 1e-8);
  expectRelative(fit.coefficients[1], expected.b1, 1e-8);
  expectRelative(fit.standardErrors[0], expected.se0, 1e-6);
  expectRelative(fit.standardErrors[1], expected.se1, 1e-6);
  expectRelative(fit.deviance, expected.deviance, 1e-8);
  expectRelative(fit.nullDeviance, expected.null_dev, 1e-8);
  expectRelative(logisticProbabilities(fit.coefficients, [[60]])[0], expected.p60, 1e-8);
  expectRelative(-fit.coefficients[0]! / fit.coefficients[1]!, expected.LD50, 1e-8);
  const both = multinomialLogistic([data.temperature_F], data.any_incident);
  if (both.status !== "converged") expect.fail(both.reason);
  expectRelative(both.coefficients[1]![1], expected.b1, 1e-8);
  expectRelative(both.standardErrors[1]![1], expected.se1, 1e-6);
});

describe("ridge on versicolor against virginica", () => {
  const rows = iris.X.slice(50);
  const outcome = iris.y.slice(50).map((name) => name === "virginica" ? 1 : 0);
  const columns = columnsOf(rows, [2, 3]);
  test.each(logistic.ridgeIris.data.C)("C = %s", (c) => {
    const expected = (logistic.ridgeIris.expected as Record<string, number[]>)[`C${c}`]!;
    const fit = logisticRegression(columns, outcome, { ridge: 1 / c });
    if (fit.status !== "converged") expect.fail(fit.reason);
    expected.forEach((value, j) => expectRelative(fit.coefficients[j], value, 1e-6));
    // The symmetric penalty splits one slope into two of half its size.
    const both = multinomialLogistic(columns, outcome, { ridge: 2 / c });
    if (both.status !== "converged") expect.fail(both.reason);
    expected.forEach((value, j) => expectRelative(both.coefficients[1]![j], value, 1e-6));
  });
});

test("complete separation of setosa and versicolor is reported", () => {
  const { expected } = logistic.separationIris;
  const columns = columnsOf(iris.X.slice(0, 100), [2]);
  const outcome = iris.y.slice(0, 100).map((name) => species.indexOf(name));
  expect(Math.max(...columns[0]!.slice(0, 50))).toBe(expected.max_setosa);
  expect(Math.min(...columns[0]!.slice(50))).toBe(expected.min_versicolor);
  for (const fit of [logisticRegression(columns, outcome), multinomialLogistic(columns, outcome)]) {
    if (fit.status === "converged") expect.fail("a fit that cannot exist");
    expect(fit.status).toBe("separated");
    expect(fit.separation).toBe("complete");
    expectAbsolute(fit.devianceReached, -2 * expected.sup_loglik, 1e-5);
  }
});

describe("three species on four features", () => {
  const { expected } = logistic.multinomialIris;
  const outcome = iris.y.map((name) => species.indexOf(name));
  const columns = columnsOf(iris.X, [0, 1, 2, 3]);
  test("the binary fit that sets the bound", () => {
    const fit = logisticRegression(
      columns.map((column) => column.slice(50)),
      outcome.slice(50).map((y) => y - 1),
    );
    if (fit.status !== "converged") expect.fail(fit.reason);
    expected.b.forEach((value, j) => expectRelative(fit.coefficients[j], value, 1e-6));
    expected.se.forEach((value, j) => expectRelative(fit.standardErrors[j], value, 1e-6));
    expectRelative(fit.deviance, expected.deviance_sup, 1e-8);
  });
  test("the multinomial fit reports quasi-complete separation at the bound", () => {
    const fit = multinomialLogistic(columns, outcome);
    if (fit.status === "converged") expect.fail("a fit that cannot exist");
    expect(fit.status).toBe("separated");
    expect(fit.separation).toBe("quasi-complete");
    expect(fit.devianceReached).toBeLessThanOrEqual(11.90);
    expect(fit.devianceReached).toBeGreaterThanOrEqual(11.8985);
  });
  test("a small ridge gives finite coefficients and rows that add up to 1", () => {
    const fit = multinomialLogistic(columns, outcome, { ridge: 1e-3 });
    if (fit.status !== "converged") expect.fail(fit.reason);
    expect(fit.deviance).toBeGreaterThan(expected.deviance_sup);
    const shares = multinomialProbabilities(fit.coefficients, columns);
    let wrong = 0;
    for (let i = 0; i < 150; i++) {
      const row = [...shares.subarray(3 * i, 3 * i + 3)];
      expectAbsolute(row[0]! + row[1]! + row[2]!, 1, 1e-12);
      if (row.indexOf(Math.max(...row)) !== outcome[i]) wrong++;
    }
    expect(wrong).toBe(expected.multinom_errors);
  });
});
