import { describe, expect, test } from "vitest";
import type { Classifier } from "../../lib/model/classifier.ts";
import { type FeatureTable, takeRows } from "../../lib/model/feature_table.ts";
import { loadModel } from "../../lib/model/load_model.ts";
import { learningTables } from "../../lib/model/season_tables.ts";
import { chance } from "../../lib/numbers/mod.ts";
import { madeSeason } from "./_season.ts";

export interface ContractOptions {
  /** Whether fitting on rows in another order gives the same model ("same") or only a like one ("may differ"). */
  readonly rowOrder: "same" | "may differ";
  /** Whether the engine takes weights, or refuses them. */
  readonly weights: "taken" | "refused";
  /** Whether the engine needs features at all. */
  readonly needsFeatures?: boolean;
}

function frozenCopy(x: FeatureTable): FeatureTable {
  return takeRows(x, Array.from({ length: x.n }, (_, i) => i));
}

function expectRows(p: Float64Array, n: number, learntFrom: number): void {
  expect(p).toHaveLength(3 * n);
  for (let i = 0; i < p.length; i += 3) {
    expect(p[i]! + p[i + 1]! + p[i + 2]!).toBeCloseTo(1, 9);
    for (let k = 0; k < 3; k++) {
      // p' = (n p + 1) / (n + 3) lies between 1 / (n + 3) and (n + 1) / (n + 3).
      expect(p[i + k]!).toBeGreaterThanOrEqual(1 / (learntFrom + 3) - 1e-12);
      expect(p[i + k]!).toBeLessThanOrEqual((learntFrom + 1) / (learntFrom + 3) + 1e-12);
    }
  }
}

/** What every engine must do, run on each of them. */
export function classifierContract(
  make: () => Classifier | Promise<Classifier>,
  options: ContractOptions,
): void {
  const table = learningTables(madeSeason({ seed: 5, signals: 150, sites: 6 }))[0]!;
  const { x, outcome } = table;
  const all = Array.from({ length: x.n }, (_, i) => i);

  describe("keeps the contract of classifiers", () => {
    test("fit() twice with one seed gives the same probabilities, bit for bit", async () => {
      const engine = await make();
      const first = engine.fit(x, outcome, { seed: 7 }).probabilities(x);
      expect(engine.fit(x, outcome, { seed: 7 }).probabilities(x)).toEqual(first);
      expect((await make()).fit(x, outcome, { seed: 7 }).probabilities(x)).toEqual(first);
    });

    test("a second fit on other rows leaves the first model as it was", async () => {
      const engine = await make();
      const first = engine.fit(x, outcome, { seed: 1 });
      const before = first.probabilities(x);
      const half = all.filter((i) => i % 2 === 0);
      engine.fit(takeRows(x, half), Uint8Array.from(half, (i) => outcome[i]!), { seed: 2 });
      expect(first.probabilities(x)).toEqual(before);
    });

    test("rows in another order are predicted the same, row by row", async () => {
      const order = chance(3, "tests/order").shuffle(all);
      const model = (await make()).fit(x, outcome, { seed: 1 });
      const straight = model.probabilities(x), shuffled = model.probabilities(takeRows(x, order));
      order.forEach((row, i) => {
        expect(shuffled.slice(3 * i, 3 * i + 3)).toEqual(straight.slice(3 * row, 3 * row + 3));
      });
    });

    test(`fitting rows in another order: ${options.rowOrder}`, async () => {
      const order = chance(3, "tests/order").shuffle(all);
      const engine = await make();
      const straight = engine.fit(x, outcome, { seed: 1 }).probabilities(x);
      const shuffled = engine.fit(takeRows(x, order), Uint8Array.from(order, (row) => outcome[row]!), {
        seed: 1,
      })
        .probabilities(x);
      let most = 0, mean = 0;
      straight.forEach((p, i) => {
        most = Math.max(most, Math.abs(p - shuffled[i]!));
        mean += Math.abs(p - shuffled[i]!) / straight.length;
      });
      if (options.rowOrder === "same") expect(most).toBeLessThan(1e-9);
      else expect(mean).toBeLessThan(0.05);
    });

    test("inputs stay as they were", async () => {
      const copy = frozenCopy(x), codes = outcome.slice();
      (await make()).fit(x, outcome, { seed: 1 }).probabilities(x);
      expect(x).toEqual(copy);
      expect(outcome).toEqual(codes);
    });

    test("rows sum to 1 and keep off 0 and 1 by the floor", async () => {
      expectRows((await make()).fit(x, outcome, { seed: 1 }).probabilities(x), x.n, x.n);
      const few = all.slice(0, 30);
      const model = (await make()).fit(takeRows(x, few), Uint8Array.from(few, (i) => outcome[i]!), {
        seed: 1,
      });
      expectRows(model.probabilities(x), x.n, 30);
    });

    test("an outcome never met gets the floor and no more", async () => {
      const rows = all.filter((i) => outcome[i] !== 2);
      const p = (await make()).fit(takeRows(x, rows), Uint8Array.from(rows, (i) => outcome[i]!), { seed: 1 })
        .probabilities(x);
      for (let i = 0; i < x.n; i++) expect(p[3 * i + 2]).toBeCloseTo(1 / (rows.length + 3), 9);
    });

    test("a saved model gives the same probabilities when it is loaded from its text", async () => {
      const model = (await make()).fit(x, outcome, { seed: 1 });
      const text = JSON.stringify(model);
      expect(loadModel(JSON.parse(text)).probabilities(x)).toEqual(model.probabilities(x));
      expect(JSON.stringify(loadModel(JSON.parse(text)))).toBe(text);
    });

    test("weights are taken or refused", async () => {
      const weights = Float64Array.from(outcome, (code) => code === 1 ? 3 : 1);
      const engine = await make();
      if (options.weights === "refused") {
        expect(() => engine.fit(x, outcome, { seed: 1, weights })).toThrow(/^Cannot fit .*weights/);
        return;
      }
      const plain = engine.fit(x, outcome, { seed: 1 }).probabilities(x);
      const heavy = engine.fit(x, outcome, { seed: 1, weights }).probabilities(x);
      const mean = (p: Float64Array) => all.reduce((sum, i) => sum + p[3 * i + 1]!, 0) / x.n;
      expect(mean(heavy)).toBeGreaterThan(mean(plain));
      const even = engine.fit(x, outcome, { seed: 1, weights: new Float64Array(x.n).fill(1) });
      expect(even.probabilities(x)).toEqual(plain);
    });

    test("a missing cell is predicted, whatever the reason", async () => {
      const model = (await make()).fit(x, outcome, { seed: 1 });
      for (const reason of [1, 2, 3]) {
        const empty = {
          ...takeRows(x, [0]),
          columns: x.names.map(() => Float64Array.of(NaN)),
          whyMissing: x.names.map(() => Uint8Array.of(reason)),
        };
        expectRows(model.probabilities(empty), 1, x.n);
      }
    });

    test("bad input is refused in words", async () => {
      const engine = await make();
      expect(() => engine.fit(takeRows(x, []), new Uint8Array(0), { seed: 1 })).toThrow(
        "Cannot fit: need 1 signal with a known outcome or more, got 0",
      );
      expect(() => engine.fit(x, outcome.slice(1), { seed: 1 })).toThrow(
        /^Cannot fit: need one outcome a row/,
      );
      expect(() => engine.fit(x, outcome.map(() => 3), { seed: 1 })).toThrow(
        "Cannot fit: outcomes are 0, 1 or 2, got 3",
      );
      const spoilt = frozenCopy(x);
      spoilt.columns[0]![0] = NaN;
      spoilt.whyMissing[0]![0] = 0;
      expect(() => engine.fit(spoilt, outcome, { seed: 1 })).toThrow(TypeError);
      const model = engine.fit(x, outcome, { seed: 1 });
      expect(() => model.probabilities(spoilt)).toThrow(/with no reason/);
      if (options.needsFeatures !== false) {
        expect(() => model.probabilities({ ...x, names: [], columns: [], whyMissing: [] })).toThrow(
          RangeError,
        );
      }
    });
  });
}
