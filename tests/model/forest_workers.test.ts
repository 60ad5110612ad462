import { afterEach, describe, expect, test, vi } from "vitest";
import { startForestWorkers } from "../../lib/model/forest_workers.ts";
import { growForest } from "../../lib/model/grow_forest.ts";
import { chance } from "../../lib/numbers/mod.ts";

const stream = chance(1, "tests/forest workers");
const columns = Array.from(
  { length: 4 },
  (_, j) => Float64Array.from({ length: 300 }, () => j === 0 && stream.next() < 0.1 ? NaN : stream.normal()),
);
const outcome = Uint8Array.from({ length: 300 }, (_, i) => columns[1]![i]! > 0 ? 2 : i % 2);
const options = { seed: 5, trees: 23, outOfBag: false } as const;

afterEach(() => vi.unstubAllGlobals());

describe("startForestWorkers()", () => {
  test("any number of threads grows the same forest, bit for bit, and one after another", async () => {
    const alone = growForest(columns, outcome, options);
    const weights = Float64Array.from(outcome, (code) => 1 + code / 3);
    for (const workers of [1, 2, 3]) {
      const hands = await startForestWorkers({ workers });
      try {
        expect(hands.count).toBe(workers);
        const [one, other] = await Promise.all([
          hands.grow(columns, outcome, options),
          hands.grow(columns, outcome, { ...options, weights, seed: 6 }),
        ]);
        expect(one).toEqual(alone);
        expect(other).toEqual(growForest(columns, outcome, { ...options, weights, seed: 6 }));
      } finally {
        hands.end();
      }
    }
  });
  test("where no thread can be started the calling one grows the same forest", async () => {
    vi.stubGlobal("Worker", function () {
      throw new Error("no threads here");
    });
    const hands = await startForestWorkers({ workers: 2 });
    expect(hands.count).toBe(1);
    expect(await hands.grow(columns, outcome, options)).toEqual(growForest(columns, outcome, options));
  });
  test("a forest that is refused is refused as ever, and the next one grows", async () => {
    const hands = await startForestWorkers({ workers: 2 });
    try {
      await expect(hands.grow(columns, outcome, { ...options, tryFeatures: 9 })).rejects.toThrow(
        "Cannot grow forest: tryFeatures must be from 1 to 4, got 9",
      );
      expect((await hands.grow(columns, outcome, options)).trees.length).toBe(23);
    } finally {
      hands.end();
    }
    await expect(startForestWorkers({ workers: 0 })).rejects.toThrow(
      "Cannot start workers: their number must be from 1 to 64, got 0",
    );
  });
  test("trees grown by number are those of the whole forest", () => {
    const part = growForest(columns, outcome, { ...options, trees: 5, firstTree: 7 });
    expect(part.trees).toEqual(growForest(columns, outcome, options).trees.slice(7, 12));
    expect(() => growForest(columns, outcome, { ...options, firstTree: -1 })).toThrow(
      "Cannot grow forest: firstTree must be a whole number of 0 or above, got -1",
    );
  });
});
