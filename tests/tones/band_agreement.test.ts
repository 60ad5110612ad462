import { describe, expect, test } from "vitest";
import { balancedAccuracy, confusionFromCounts } from "../../lib/numbers/mod.ts";
import { bandAgreement } from "../../lib/tones/band_agreement.ts";
import { symmetryTest } from "../../lib/tones/symmetry_test.ts";

// Cohen (1960), Educ. Psychol. Meas. 20:37, table 1 (N = 200), from memory.
const cohen = [88, 14, 18, 10, 40, 10, 2, 6, 12];

describe("bandAgreement()", () => {
  const entries = ["a", "b", "c", "d", "e"].flatMap((cluster, k) =>
    cohen.map((count, i) => ({
      row: Math.floor(i / 3),
      column: i % 3,
      count: Math.round(count / 2) + k,
      cluster,
    }))
  );
  test("states kappa with an interval by cluster and its counts", () => {
    const { kappa, weightedKappa, same } = bandAgreement(entries, {
      bands: 3,
      unit: "trials",
      clusterWord: "block",
    });
    expect(kappa).toMatchObject({ n: { blocks: 5 }, interval: { level: 0.95 } });
    expect("value" in kappa && kappa.interval.low < kappa.value && kappa.value < kappa.interval.high).toBe(
      true,
    );
    expect("value" in weightedKappa && "value" in same).toBe(true);
  });
  test("leaves silent entries out", () => {
    const more = [...entries, { row: 0, column: 3, count: 50, cluster: "a" }];
    const options = { bands: 3, unit: "trials", clusterWord: "block" };
    expect(bandAgreement(more, options)).toEqual(bandAgreement(entries, options));
  });
  test("gives the same interval for the same seed in any order", () => {
    const options = { bands: 3, unit: "trials", clusterWord: "block" };
    expect(bandAgreement([...entries].reverse(), options)).toEqual(bandAgreement(entries, options));
  });
  test("says what does not exist", () => {
    const none = bandAgreement([], { bands: 2, unit: "trials", clusterWord: "block" });
    expect(none.same).toMatchObject({ absent: "no trials" });
    expect(none.kappa).toMatchObject({ absent: "undefined", reason: "Kappa of no trials does not exist" });
    const full = ["a", "b", "c", "d", "e"].flatMap((cluster) =>
      [0, 1].map((i) => ({ row: i, column: i, count: 2, cluster }))
    );
    const agreed = bandAgreement(full, { bands: 2, unit: "trials", clusterWord: "block" });
    expect(agreed.kappa).toMatchObject({ absent: "no variation" });
    expect(agreed.same).toMatchObject({
      value: 1,
      interval: { method: "Wilson, trials taken as independent (blocks show no difference)" },
    });
  });
  test("has no interval by cluster from fewer than five", () => {
    const one = entries.filter(({ cluster }) => cluster < "c");
    const options = { bands: 3, unit: "trials", clusterWord: "block" };
    expect(bandAgreement(one, options).kappa).toMatchObject({
      absent: "too few",
      reason: "An interval needs 5 blocks, got 2",
    });
    expect(bandAgreement(one, options).same).toMatchObject({
      interval: { method: "Wilson, trials taken as independent (2 blocks only)" },
    });
  });
  test("averages the share kept over the bands, as balanced accuracy does", () => {
    const table = [[30, 10, 0], [5, 40, 5], [2, 2, 16]];
    const spread = table.flatMap((line, row) =>
      line.flatMap((count, column) =>
        Array.from({ length: count }, (_, i) => ({ row, column, count: 1, cluster: "abcdefg"[i % 7]! }))
      )
    );
    const found = bandAgreement(spread, { bands: 3, unit: "trials", clusterWord: "block" });
    // By hand: (30/40 + 40/50 + 16/20) / 3 = 47/60.
    expect(found.balancedAccuracy).toMatchObject({
      value: expect.closeTo(47 / 60, 12),
      n: { trials: 110, blocks: 7 },
    });
    expect(balancedAccuracy(confusionFromCounts(table))).toMatchObject({
      value: expect.closeTo(47 / 60, 12),
    });
    // 9 of the 24 that moved went to a lower band: 5 + 2 + 2.
    expect(found.movedDown).toMatchObject({ value: 9 / 24, n: { trials: 24 } });
    expect(found.symmetry).toEqual(symmetryTest(table));
  });
  test("averages over the bands that occur, and over one it is the share kept", () => {
    const two = ["a", "b", "c", "d", "e"].flatMap((cluster, i) => [
      { row: 0, column: 0, count: 3 + i, cluster },
      { row: 0, column: 1, count: 1, cluster },
      { row: 2, column: 2, count: 2, cluster },
      { row: 2, column: 1, count: 2, cluster },
    ]);
    const options = { bands: 7, unit: "trials", clusterWord: "block" };
    // By hand: (25/30 + 10/20) / 2.
    expect(bandAgreement(two, options).balancedAccuracy).toMatchObject({ value: expect.closeTo(2 / 3, 12) });
    const one = bandAgreement(two.filter(({ row }) => row === 0), options);
    expect(one.balancedAccuracy).toEqual(one.same);
  });
  test("says that kappa tells nothing where one side lies in one band", () => {
    const clean = ["a", "b", "c", "d", "e"].flatMap((cluster) =>
      [0, 1, 2].map((column) => ({ row: 2, column, count: 2, cluster }))
    );
    const found = bandAgreement(clean, { bands: 3, unit: "trials", clusterWord: "block" });
    for (
      const [estimate, word] of [[found.kappa, "Kappa"], [found.weightedKappa, "Weighted kappa"]] as const
    ) {
      expect(estimate).toEqual({
        absent: "undefined",
        reason: `${word} is 0 whatever happens where one side lies in one band alone`,
        n: { trials: 30, blocks: 5 },
      });
    }
    const apart = clean.filter(({ column }) => column === 0);
    expect(bandAgreement(apart, { bands: 3, unit: "trials", clusterWord: "block" }).kappa).toMatchObject({
      absent: "undefined",
    });
  });
  test("has no share of moves where nothing moved", () => {
    const still = ["a", "b"].map((cluster) => ({ row: 1, column: 1, count: 4, cluster }));
    const found = bandAgreement(still, { bands: 2, unit: "trials", clusterWord: "block" });
    expect(found.movedDown).toMatchObject({ absent: "no trials" });
    expect(found.symmetry).toMatchObject({ absent: "no moves" });
  });
  test("refuses no bands", () => {
    expect(() => bandAgreement([], { bands: 0, unit: "trials", clusterWord: "block" })).toThrow(
      new RangeError("Cannot measure agreement: need 1 band or more, got 0"),
    );
  });
});
