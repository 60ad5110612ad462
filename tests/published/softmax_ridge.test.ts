import { describe, expect, test } from "vitest";
import { fitSoftmaxRidge } from "../../lib/model/_softmax_ridge.ts";
import * as iris from "./_forest_iris.ts";

// Penalised maximum of 0.5 w'w + C sum log(1 + exp(-y f)), versicolor (0) against virginica (1) on petal length and width, the
// intercept free, inputs unscaled: scikit-learn's LogisticRegression and a Newton iteration in R agree on these digits (no
// published number). Iris: Fisher (1936). Relative tolerance 1e-6: both iterations stop near there.
const REFERENCE: readonly (readonly [C: number, coefficients: readonly number[]])[] = [
  [0.01, [-1.56491207644179, 0.267933442861944, 0.149497915487417]],
  [1, [-17.5471590220748, 2.77744762361147, 2.38547651445425]],
  [100, [-41.6720301427606, 5.42076698192633, 9.24108268713278]],
];

function twoSpecies() {
  const rows = iris.rows.map((row, i) => ({ row, code: iris.outcome[i]! })).filter(({ code }) => code > 0);
  return {
    design: Float64Array.from(rows.flatMap(({ row }) => [row[2]!, row[3]!])),
    outcome: Uint8Array.from(rows, ({ code }) => code - 1),
    weights: new Float64Array(rows.length).fill(1),
  };
}

describe("fitSoftmaxRidge() on two iris species", () => {
  for (const [C, coefficients] of REFERENCE) {
    test(`has the reference coefficients at C = ${C}`, () => {
      const { design, outcome, weights } = twoSpecies();
      // Symmetric form: two vectors w and -w apart by b = 2 w cost lambda b^2 / 4, so lambda = 2 / C.
      const fit = fitSoftmaxRidge(design, 2, outcome, { weights, lambda: 2 / C });
      coefficients.forEach((expected, at) => {
        expect(Math.abs(fit.coefficients[at]! / expected - 1)).toBeLessThan(1e-6);
      });
    });
  }

  test("a weight of two is the row twice", () => {
    const { design, outcome } = twoSpecies();
    const weights = Float64Array.from(outcome, (_, i) => 1 + i % 2);
    const rows = [...outcome.keys()].flatMap((i) => i % 2 === 1 ? [i, i] : [i]);
    const heavy = fitSoftmaxRidge(design, 2, outcome, { weights, lambda: 1 });
    const twice = fitSoftmaxRidge(
      Float64Array.from(rows.flatMap((row) => [design[2 * row]!, design[2 * row + 1]!])),
      2,
      Uint8Array.from(rows, (row) => outcome[row]!),
      { weights: new Float64Array(rows.length).fill(1), lambda: 1 },
    );
    heavy.coefficients.forEach((b, at) => expect(b).toBeCloseTo(twice.coefficients[at]!, 8));
  });
});

describe("fitSoftmaxRidge() on three iris species", () => {
  const all = Uint8Array.from(iris.outcome);
  const design = Float64Array.from(iris.rows.flat());
  const weights = new Float64Array(all.length).fill(1);

  test("stays finite although setosa is parted cleanly (Albert and Anderson 1984, Biometrika 71:1)", () => {
    const fit = fitSoftmaxRidge(design, 4, all, { weights, lambda: 1 });
    expect(fit.coefficients.every((b) => Number.isFinite(b) && Math.abs(b) < 50)).toBe(true);
  });

  test("does not depend on which species the others are compared with", () => {
    const turned = Uint8Array.from(all, (code) => (code + 1) % 3);
    const fit = fitSoftmaxRidge(design, 4, all, { weights, lambda: 2 });
    const other = fitSoftmaxRidge(design, 4, turned, { weights, lambda: 2 });
    // Codes 0, 1, 2 became 1, 2, 0: the log odds of old 1 against old 0 are now those of 2 against 1.
    for (let j = 0; j < 5; j++) {
      expect(other.coefficients[5 + j]! - other.coefficients[j]!).toBeCloseTo(fit.coefficients[j]!, 6);
    }
  });

  test("comes near the deviance of the unpenalised fit as the ridge goes to nothing", () => {
    // R nnet::multinom on iris: residual deviance about 11.899, the supremum 11.8985 (quasi-separation).
    const lambda = 1e-6;
    const fit = fitSoftmaxRidge(design, 4, all, { weights, lambda });
    let deviance = 0;
    all.forEach((code, i) => {
      const scores = [0, 1, 2].map((k) =>
        k === 0 ? 0 : fit.coefficients[(k - 1) * 5]! +
          [0, 1, 2, 3].reduce(
            (sum, j) => sum + fit.coefficients[(k - 1) * 5 + 1 + j]! * design[4 * i + j]!,
            0,
          )
      );
      const top = Math.max(...scores);
      deviance += 2 * (top + Math.log(scores.reduce((sum, s) => sum + Math.exp(s - top), 0)) - scores[code]!);
    });
    expect(deviance).toBeGreaterThan(11.8985 - 1e-3);
    expect(deviance).toBeLessThan(11.93);
  });
});
