import { describe, expect, test } from "vitest";
import { type ModelProof, proveModel, type ProvenMean } from "../../lib/model/mod.ts";
import { modelProofPage, MOST_EXCESS } from "../../lib/writeup/model_proof_page.ts";

const around = (mean: number): ProvenMean => ({
  seasons: 100,
  mean,
  low: mean - 0.01,
  high: mean + 0.01,
  standardDeviation: 0.05,
  least: mean - 0.1,
  most: mean + 0.1,
});

const proof = (excess: number, covered: number): ModelProof => ({
  schema: "overiron-model-proof/1",
  seed: 1,
  sizes: [{
    signals: 600,
    seasons: 100,
    withoutFolds: 1,
    dug: around(400),
    maskedGood: around(45),
    excess: { forest: around(excess), logistic: around(0.3) },
    flattery: around(0.02),
    level: 0.9,
    coverage: [
      { outcome: "ferrous", covered: around(covered), fewCases: 0.004 },
      { outcome: "masked-good", covered: null, fewCases: null },
    ],
  }],
});

describe("proveModel()", () => {
  test.each([
    [{ seasons: 1 }, "seasons must be a whole number of 2 or above, got 1"],
    [{ truths: 0 }, "truths must be a whole number of 1 or above, got 0"],
    [{ sizes: [600, 10] }, "signals must be a whole number of 50 or above, got 10"],
  ])("refuses %j", async (options, why) => {
    await expect(proveModel(options)).rejects.toThrow(new RangeError(`Cannot prove: ${why}`));
  });
});

describe("modelProofPage()", () => {
  const page = (excess: number, covered: number): string =>
    modelProofPage(proof(excess, covered), { command: "deno task prove-model --seasons 100 --seed 1" }).text;
  test("gives each mean with its interval, and says what was met", () => {
    const text = page(0.11, 0.905);
    expect(text).toContain(
      "600 | 99 of 100 | 400, 45 | 0.110 (0.100 to 0.120) | 0.050; 0.010 to 0.210 | 0.15, met |",
    );
    expect(text).toContain(
      "600 | ferrous | 90.5 % (89.5 to 91.5), 100 seasons | 5.0 points | 89 to 93.4 %, met",
    );
    expect(text).toContain("600 | masked-good | too few cases");
    expect(text).not.toContain("NOT MET");
  });
  test("a limit missed is said", () => {
    expect(page(0.151, 0.905)).toContain("0.15, NOT MET");
    expect(page(0.11, 0.935)).toContain("89 to 93.4 %, NOT MET");
    expect(page(0.11, 0.889)).toContain("89 to 93.4 %, NOT MET");
  });
});

describe("the stored proof", () => {
  const at = new URL("../../datasets/proofs/", import.meta.url);
  const stored = JSON.parse(Deno.readTextFileSync(new URL("model.json", at))) as ModelProof & {
    command: string;
  };
  test("holds a hundred seasons or more of each size, within the limits", () => {
    expect(stored.sizes.map(({ signals }) => signals)).toEqual([600, 3000]);
    for (const { signals, seasons, withoutFolds, excess, flattery, level, coverage } of stored.sizes) {
      expect(seasons - withoutFolds).toBeGreaterThanOrEqual(100);
      expect(excess.forest.mean).toBeLessThanOrEqual(MOST_EXCESS[signals]!);
      // Random folds are shown to flatter: the whole interval lies above 0.
      expect(flattery.low).toBeGreaterThan(0);
      for (const { covered, fewCases } of coverage) {
        expect(covered!.mean).toBeGreaterThanOrEqual(level - 0.01);
        expect(covered!.mean).toBeLessThanOrEqual(level + 0.03 + fewCases!);
      }
    }
  });
  test("its page is made of it", () => {
    const { command, ...proof } = stored;
    expect(command).toBe(`deno task prove-model --seasons ${stored.sizes[0]!.seasons} --seed ${stored.seed}`);
    expect(Deno.readTextFileSync(new URL("model.md", at))).toBe(modelProofPage(proof, { command }).text);
  });
});
