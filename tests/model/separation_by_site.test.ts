import { describe, expect, test } from "vitest";
import { separationBySite } from "../../lib/model/separation_by_site.ts";
import { chance, isPresent } from "../../lib/numbers/mod.ts";

describe("separationBySite()", () => {
  test("is the share of pairs with the higher value, ties half, counted one by one", () => {
    const stream = chance(4, "tests/separation");
    const values = Array.from({ length: 60 }, () => stream.integer(12)),
      kind = values.map(() => stream.integer(3) - 1);
    let won = 0, pairs = 0;
    values.forEach((a, i) =>
      values.forEach((b, j) => {
        if (kind[i] !== 1 || kind[j] !== 0) return;
        pairs++;
        won += a > b ? 1 : a === b ? 0.5 : 0;
      })
    );
    const found = separationBySite(values, kind, values.map((_, i) => i % 7));
    if (!isPresent(found)) throw new Error(found.reason);
    expect(found.value).toBeCloseTo(won / pairs, 12);
    expect(found.interval.low).toBeLessThan(found.value);
  });
  test("has DeLong's variance where every row is a site of its own, up to the factor of few groups", () => {
    // DeLong, DeLong and Clarke-Pearson (1988): var = var(V10) / m + var(V01) / n, here with divisors m and n and G / (G - 1).
    const values = [1, 4, 2, 6, 3, 5, 7, 2.5], kind = [0, 0, 0, 1, 0, 1, 1, 1];
    const first = values.filter((_, i) => kind[i] === 1), other = values.filter((_, i) => kind[i] === 0);
    const v10 = first.map((a) => other.filter((b) => a > b).length / other.length);
    const v01 = other.map((b) => first.filter((a) => a > b).length / first.length);
    const auc = v10.reduce((s, v) => s + v, 0) / v10.length;
    const part = (v: number[]) => v.reduce((s, each) => s + (each - auc) ** 2, 0) / v.length ** 2;
    const se = Math.sqrt(8 / 7 * (part(v10) + part(v01)));
    const found = separationBySite(values, kind, values.map((_, i) => i));
    if (!isPresent(found)) throw new Error(found.reason);
    expect(found.value).toBeCloseTo(auc, 12);
    const t = 2.364624251592785; // Student's t, 7 degrees of freedom, 97.5 %: any table.
    const logit = Math.log(auc / (1 - auc)) - t * se / (auc * (1 - auc));
    expect(found.interval.low).toBeCloseTo(1 / (1 + Math.exp(-logit)), 9);
  });
  test("leaves missing values out, and is absent without both kinds or with one site", () => {
    expect(separationBySite([NaN, 2, 1], [1, 0, 0], [0, 1, 2])).toMatchObject({ absent: "no cases" });
    expect(separationBySite([3, 2, 1], [1, 0, 0], [5, 5, 5])).toMatchObject({ absent: "one site" });
    expect(separationBySite([], [], [])).toMatchObject({ absent: "no cases" });
  });
  test("no overlap is no certainty: the interval is wide for few cases", () => {
    const found = separationBySite([3, 4, 1, 2], [1, 1, 0, 0], [0, 1, 2, 3]);
    if (!isPresent(found)) throw new Error(found.reason);
    expect([found.value, found.interval.high]).toEqual([1, 1]);
    expect(found.interval.low).toBeLessThan(0.3);
  });
  test("constant values tell nothing, and say so", () => {
    expect(separationBySite([5, 5, 5, 5], [1, 1, 0, 0], [0, 1, 2, 3])).toMatchObject({ absent: "constant" });
  });
});
