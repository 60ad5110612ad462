import { describe, expect, test } from "vitest";
import { chance } from "../../lib/numbers/mod.ts";
import { forestShares, growForest } from "../../lib/model/grow_forest.ts";

function made(seed: number, n: number, p: number): { columns: Float64Array[]; outcome: Uint8Array } {
  const stream = chance(seed, "tests/forest");
  const columns = Array.from({ length: p }, () => Float64Array.from({ length: n }, () => stream.normal()));
  const outcome = Uint8Array.from({ length: n }, (_, i) => {
    const pull = columns[0]![i]! + 0.6 * stream.normal();
    return pull < -0.5 ? 0 : pull < 0.7 ? 1 : 2;
  });
  return { columns, outcome };
}

const wrong = (shares: Float64Array, outcome: Uint8Array, k: number) =>
  outcome.reduce((sum, code, i) => {
    const row = [...shares.subarray(i * k, i * k + k)];
    return sum + (row.indexOf(Math.max(...row)) === code ? 0 : 1);
  }, 0) / outcome.length;

describe("growForest()", () => {
  test("the quick way for three classes and the general way grow the same trees", () => {
    const few = (column: Float64Array) => column.map((value) => Math.round(2 * value));
    const holed = (column: Float64Array, j: number) =>
      column.map((value, i) => (i * 7 + j) % 5 === 0 ? NaN : value);
    const cases = [[1, 400, false, false], [4, 400, true, false], [1, 700, true, true], [
      2,
      90,
      false,
      true,
    ]] as const;
    for (const [at, [leastLeaf, n, holes, ties]] of cases.entries()) {
      const { columns, outcome } = made(8 + at, n, 5);
      const x = columns.map((column, j) => {
        const rounded = ties && j % 2 === 0 ? few(column) : column;
        return holes && j < 3 ? holed(rounded, j) : rounded;
      });
      for (const [classes, codes] of [[3, outcome], [2, outcome.map((code) => Math.min(code, 1))]] as const) {
        for (const more of [{}, { mostDepth: 3 }, { bootstrap: false, tryFeatures: 5 }, { tryFeatures: 1 }]) {
          const options = { seed: 2, trees: 12, leastLeaf, classes, ...more };
          const quick = growForest(x, codes, options);
          // Weights of one change nothing but the way.
          const general = growForest(x, codes, { ...options, weights: new Float64Array(n).fill(1) });
          expect(quick.trees).toEqual(general.trees);
          expect(quick.outOfBag).toEqual(general.outOfBag);
        }
      }
    }
  });
  test("a forest after a larger one is the same as by itself", () => {
    const small = made(1, 60, 3), large = made(2, 3000, 6), options = { seed: 5, trees: 3 };
    const alone = growForest(small.columns, small.outcome, options);
    growForest(large.columns, large.outcome, options);
    expect(growForest(small.columns, small.outcome, options)).toEqual(alone);
  });
  test("shares of many rows are those of one row at a time", () => {
    const { columns, outcome } = made(5, 203, 4);
    const holed = columns.map((column, j) => column.map((value, i) => (i + j) % 6 === 0 ? NaN : value));
    const forest = growForest(holed, outcome, { seed: 1, trees: 30 });
    const together = forestShares(forest, holed);
    const apart = Array.from(
      { length: 203 },
      (_, i) => [...forestShares(forest, holed.map((column) => column.slice(i, i + 1)))],
    );
    expect([...together]).toEqual(apart.flat());
  });
  test("grows the same trees for one seed and others for another; more trees begin with the fewer", () => {
    const { columns, outcome } = made(1, 120, 4);
    const one = growForest(columns, outcome, { seed: 3, trees: 4 });
    expect(growForest(columns, outcome, { seed: 3, trees: 4 })).toEqual(one);
    expect(growForest(columns, outcome, { seed: 3, trees: 8 }).trees.slice(0, 4)).toEqual(one.trees);
    expect(growForest(columns, outcome, { seed: 4, trees: 4 }).trees).not.toEqual(one.trees);
  });
  test("asks only for order: a rising transform of a column parts the rows it learnt from the same way", () => {
    const { columns, outcome } = made(2, 150, 3);
    const bent = columns.map((column) => column.map((value) => Math.exp(2 * value)));
    const plain = growForest(columns, outcome, { seed: 1, trees: 20 }),
      other = growForest(bent, outcome, { seed: 1, trees: 20 });
    expect(other.trees.map((tree) => [...tree.feature])).toEqual(
      plain.trees.map((tree) => [...tree.feature]),
    );
    // Each tree's bag is parted alike; rows out of bag may fall between midpoints that moved.
    expect(other.trees.map((tree) => [...tree.shares])).toEqual(plain.trees.map((tree) => [...tree.shares]));
  });
  test("splits at midpoints between neighbouring distinct values", () => {
    const forest = growForest([Float64Array.of(1, 1, 2, 4, 4)], Uint8Array.of(0, 0, 0, 1, 1), {
      seed: 1,
      trees: 1,
      bootstrap: false,
    });
    expect(forest.trees[0]!.threshold[0]).toBe(3);
    expect([...forest.trees[0]!.feature]).toEqual([0, -1, -1]);
  });
  test("finds the split that hides between tied values whatever the row order", () => {
    // Split candidates must not be sought only where neighbouring labels differ: a tree then depends on row order.
    for (const order of [[0, 1, 2, 3], [1, 0, 3, 2], [3, 2, 1, 0]]) {
      const x = [1, 1, 2, 2], y = [0, 1, 0, 0];
      const { trees } = growForest(
        [Float64Array.from(order, (i) => x[i]!)],
        Uint8Array.from(order, (i) => y[i]!),
        { seed: 1, trees: 1, bootstrap: false },
      );
      expect([trees[0]!.feature[0], trees[0]!.threshold[0]]).toEqual([0, 1.5]);
    }
  });
  test("sends missing values to the side that gains more", () => {
    const x = Float64Array.of(1, 2, 3, 10, 11, 12, NaN, NaN), y = Uint8Array.of(0, 0, 0, 1, 1, 1, 0, 0);
    const forest = growForest([x], y, { seed: 1, trees: 1, bootstrap: false });
    expect([...forestShares(forest, [Float64Array.of(2, 11, NaN)])]).toEqual([1, 0, 0, 1, 1, 0]);
    const other = growForest([x], y.map((code) => 1 - code), { seed: 1, trees: 1, bootstrap: false });
    expect([...forestShares(other, [Float64Array.of(NaN)])]).toEqual([0, 1]);
  });
  test("'missing or not' is a split of its own", () => {
    const x = Float64Array.of(1, 2, 3, 4, NaN, NaN, NaN), y = Uint8Array.of(0, 0, 0, 0, 1, 1, 1);
    const { trees } = growForest([x], y, { seed: 1, trees: 1, bootstrap: false });
    expect([trees[0]!.threshold[0], trees[0]!.feature.length]).toEqual([Infinity, 3]);
    const constant = growForest([x.map((value) => Number.isNaN(value) ? NaN : 5)], y, {
      seed: 1,
      trees: 1,
      bootstrap: false,
    });
    expect([...forestShares(constant, [Float64Array.of(5, NaN)])]).toEqual([1, 0, 0, 1]);
  });
  test("a class weight is the rows repeated", () => {
    const { columns, outcome } = made(3, 60, 2);
    const weights = Float64Array.from(outcome, (code) => code === 2 ? 2 : 1);
    const rows = [...outcome.keys()].flatMap((i) => outcome[i] === 2 ? [i, i] : [i]);
    const single = { seed: 1, trees: 1, bootstrap: false, tryFeatures: 2 };
    const heavy = growForest(columns, outcome, { ...single, weights });
    const twice = growForest(
      columns.map((column) => Float64Array.from(rows, (i) => column[i]!)),
      Uint8Array.from(rows, (i) => outcome[i]!),
      single,
    );
    expect(forestShares(heavy, columns)).toEqual(forestShares(twice, columns));
  });
  test("bins of equal counts keep what they should where there are more than 255 distinct values", () => {
    const { columns, outcome } = made(4, 3000, 3);
    const forest = growForest(columns, outcome, { seed: 1, trees: 60, leastLeaf: 5 });
    const fresh = made(5, 3000, 3);
    const error = wrong(forestShares(forest, fresh.columns), fresh.outcome, 3);
    // The best rule on column 0 errs in about a third of cases here (noise 0.6 about two cuts); the forest may be 3 points worse.
    const cut = fresh.columns[0]!.reduce(
      (sum, value, i) => sum + ((value < -0.5 ? 0 : value < 0.7 ? 1 : 2) === fresh.outcome[i] ? 0 : 1),
      0,
    ) / 3000;
    expect(error).toBeLessThan(cut + 0.03);
    const bag = forest.outOfBag!;
    expect(Math.abs(wrong(bag.shares, outcome, 3) - error)).toBeLessThan(0.03);
  });
  test("out-of-bag counts are those of a bootstrap: a row is left out by about 37 % of trees", () => {
    const { columns, outcome } = made(6, 200, 2);
    const { counts } = growForest(columns, outcome, { seed: 1, trees: 200 }).outOfBag!;
    const mean = counts.reduce((sum, count) => sum + count, 0) / counts.length / 200;
    // (1 - 1/200)^200 = 0.367; the mean of 40,000 draws has a standard error below 0.0025.
    expect(Math.abs(mean - 0.367)).toBeLessThan(0.01);
  });
  test("one row, one class, constant and all-missing columns give the shares of what was learnt", () => {
    expect([
      ...forestShares(growForest([Float64Array.of(1)], Uint8Array.of(1), { seed: 1, trees: 3, classes: 2 }), [
        Float64Array.of(9),
      ]),
    ]).toEqual([0, 1]);
    const blank = growForest([Float64Array.of(NaN, NaN), Float64Array.of(7, 7)], Uint8Array.of(0, 1), {
      seed: 1,
      trees: 1,
      bootstrap: false,
    });
    expect([...forestShares(blank, [Float64Array.of(3), Float64Array.of(7)])]).toEqual([0.5, 0.5]);
  });
  test("refuses options out of range or without effect, and infinities", () => {
    const x = [Float64Array.of(1, 2)], y = Uint8Array.of(0, 1);
    expect(() => growForest([], y, { seed: 1 })).toThrow(
      "Cannot grow forest: need 1 row and 1 feature or more, got 2 rows and 0 features",
    );
    expect(() => growForest(x, y, { seed: 1, tryFeatures: 2 })).toThrow(
      "Cannot grow forest: tryFeatures must be from 1 to 1, got 2",
    );
    expect(() => growForest(x, y, { seed: 1, trees: 0 })).toThrow(/trees must be from 1/);
    expect(() => growForest(x, y, { seed: 1, bootstrap: false, outOfBag: true })).toThrow(
      /no row is out of bag/,
    );
    expect(() => growForest(x, y, { seed: 1, outOfBag: false, importance: true })).toThrow(
      /importance needs outOfBag/,
    );
    expect(() => growForest(x, y, { seed: 1, weights: Float64Array.of(0, 0) })).toThrow(
      /one weight must be above 0/,
    );
    expect(() => growForest(x, y, { seed: 1, classes: 1 })).toThrow(/classes must be from 2/);
    expect(() => growForest([Float64Array.of(1, Infinity)], y, { seed: 1 })).toThrow(TypeError);
  });
});
