import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  accuracy,
  balancedAccuracy,
  binaryMeasures,
  cohenKappa,
  confusionFromCounts,
  confusionMatrix,
  fScore,
  isMeasured,
  isPresent,
  matthewsCorrelation,
  meanFScore,
  precision,
  recall,
  youdenIndex,
} from "../../lib/numbers/mod.ts";

const tables = fc.integer({ min: 2, max: 4 }).chain((k) =>
  fc.array(fc.array(fc.nat(20), { minLength: k, maxLength: k }), { minLength: k, maxLength: k })
);

describe("confusion matrices", () => {
  test("confusionMatrix() counts truth by row, in the order of the labels", () => {
    const matrix = confusionMatrix(["b", "a", "b"], ["b", "b", "a"], { labels: ["b", "a", "c"] });
    expect(matrix).toEqual({ labels: ["b", "a", "c"], counts: [[1, 1, 0], [1, 0, 0], [0, 0, 0]], n: 3 });
  });
  test("confusionMatrix() refuses strangers, doubles and ragged columns", () => {
    expect(() => confusionMatrix(["a"], ["z"], { labels: ["a", "b"] })).toThrow(
      new RangeError("Cannot count a confusion matrix: every name must be one of a, b, got z"),
    );
    expect(() => confusionMatrix([], [], { labels: ["a", "a"] })).toThrow(
      new RangeError("Cannot count a confusion matrix: labels must differ, got a, a"),
    );
    expect(() => confusionMatrix(["a"], [])).toThrow(
      new RangeError("Cannot count a confusion matrix: truth and called must be equally long, got 1 and 0"),
    );
  });
  test("confusionFromCounts() refuses tables that are not square or not counts", () => {
    expect(() => confusionFromCounts([[1, 2]])).toThrow(
      new RangeError("Cannot make a confusion matrix: the table must be square, got 1 rows and 2 columns"),
    );
    expect(() => confusionFromCounts([[1, -2], [0, 0]])).toThrow(
      new RangeError("Cannot make a confusion matrix: a count must be a whole number of 0 or above, got -2"),
    );
    expect(() => confusionFromCounts([[1]], ["a", "b"])).toThrow(
      new RangeError("Cannot make a confusion matrix: need a label for each of 1 rows, got 2"),
    );
  });
  test("a class without cases has no recall, and with it no balanced accuracy", () => {
    const matrix = confusionFromCounts([[5, 1], [0, 0]], ["iron", "good"]);
    expect(isPresent(recall(matrix)[1]!)).toBe(false);
    expect(balancedAccuracy(matrix)).toEqual({
      absent: "undefined",
      reason: "No case of good, so that its recall does not exist",
      n: { cases: 6 },
    });
    expect(isPresent(youdenIndex(matrix))).toBe(false);
    expect(matthewsCorrelation(matrix)).toMatchObject({
      absent: "undefined",
      reason: "All cases are of one class",
    });
    expect(isPresent(precision(confusionFromCounts([[5, 0], [2, 0]]))[1]!)).toBe(false);
    expect(matthewsCorrelation(confusionFromCounts([[5, 0], [2, 0]]))).toMatchObject({
      reason: "All cases were called the same",
    });
  });
  test("an empty matrix has nothing but absences", () => {
    const matrix = confusionFromCounts([[0, 0], [0, 0]]);
    for (const one of [accuracy(matrix), balancedAccuracy(matrix), cohenKappa(matrix)]) {
      expect(isPresent(one)).toBe(false);
    }
    expect(isMeasured(meanFScore(matrix))).toBe(false);
    expect(isMeasured(fScore(matrix)[0]!)).toBe(false);
    for (
      const one of Object.values(
        binaryMeasures({ truePositives: 0, falseNegatives: 0, falsePositives: 0, trueNegatives: 0 }),
      )
    ) {
      expect(isMeasured(one)).toBe(false);
    }
  });
  test("a rule without error scores 1 everywhere", () => {
    const matrix = confusionFromCounts([[5, 0, 0], [0, 3, 0], [0, 0, 9]]);
    for (const one of [accuracy(matrix), balancedAccuracy(matrix), cohenKappa(matrix)]) {
      if (!isPresent(one)) expect.fail(one.reason);
      expect(one.value).toBeCloseTo(1, 12);
      expect(one.interval.high).toBeLessThanOrEqual(1);
    }
    expect(matthewsCorrelation(matrix)).toMatchObject({ value: 1 });
  });
  test("nothing is ever NaN, and the order of the classes does not matter", () => {
    fc.assert(
      fc.property(tables, (table) => {
        const matrix = confusionFromCounts(table);
        const turned = confusionFromCounts([...table].reverse().map((row) => [...row].reverse()));
        const pairs = [accuracy, balancedAccuracy, cohenKappa, matthewsCorrelation, meanFScore].map((
          measure,
        ) => [measure(matrix), measure(turned)] as const);
        for (const [one, other] of pairs) {
          if ("value" in one) {
            expect(Number.isFinite(one.value)).toBe(true);
            expect(one.value).toBeLessThanOrEqual(1 + 1e-12);
            expect("value" in other ? other.value : NaN).toBeCloseTo(one.value, 10);
          } else expect("absent" in other).toBe(true);
        }
      }),
      { seed: 1 },
    );
  });
  test("a ratio over 0 is absent, not endless", () => {
    const result = binaryMeasures({
      truePositives: 5,
      falseNegatives: 0,
      falsePositives: 0,
      trueNegatives: 5,
    });
    expect(result.positiveLikelihoodRatio).toMatchObject({ absent: "undefined" });
    expect(result.diagnosticOddsRatio).toMatchObject({ absent: "undefined" });
    expect(result.negativeLikelihoodRatio).toMatchObject({ value: 0 });
  });
  test("youdenIndex() refuses more than two classes", () => {
    expect(() => youdenIndex(confusionFromCounts([[1, 0, 0], [0, 1, 0], [0, 0, 1]]))).toThrow(
      new RangeError("Cannot give Youden's J: need two classes, got 3"),
    );
  });
});
