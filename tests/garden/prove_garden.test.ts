import { describe, expect, test } from "vitest";
import { type GardenProof, proveGarden } from "../../lib/garden/mod.ts";

describe("proveGarden()", () => {
  test("gives the same for one seed, counts every pair once, and covers at all", () => {
    const proof = proveGarden({ gardens: 6, seed: 4 });
    expect(proveGarden({ gardens: 6, seed: 4 })).toEqual(proof);
    for (const kind of proof.kinds) {
      if (kind.form !== "physics") expect(kind.answers.reduce((sum, bin) => sum + bin.pairs, 0)).toBe(12);
      for (const bin of kind.answers) expect(bin.halfGap + bin.never + bin.cannotTell).toBe(bin.pairs);
      expect(kind.covered.of).toBe(kind.answers.reduce((sum, bin) => sum + bin.intervals, 0));
      expect(kind.covered.count).toBe(kind.answers.reduce((sum, bin) => sum + bin.covered, 0));
      // 12 intervals at 95 %: fewer than 8 would come once in 4,000 times.
      if (kind.form !== "physics") expect(kind.covered.count).toBeGreaterThan(7);
    }
  });

  test("refuses no gardens", () => {
    expect(() => proveGarden({ gardens: 0 })).toThrow(
      new RangeError("Cannot prove: gardens must be a whole number of 1 or above, got 0"),
    );
  });
});

describe("the stored proof", () => {
  const stored = JSON.parse(
    Deno.readTextFileSync(new URL("../../datasets/proofs/garden.json", import.meta.url)),
  ) as GardenProof & { readonly command: string };

  test("names its command and holds a thousand gardens of each kind", () => {
    expect(stored.command).toBe(`deno task prove-garden --gardens ${stored.gardens} --seed ${stored.seed}`);
    expect(stored.gardens).toBeGreaterThanOrEqual(1000);
    expect(stored.kinds.map((kind) => [kind.form, kind.blocks, kind.trialsPerBlock])).toEqual([
      ["working", 5, 12],
      ["working", 14, 13],
      ["phasor", 5, 12],
      ["phasor", 14, 13],
      ["physics", 5, 12],
      ["physics", 14, 13],
    ]);
  });

  test("covers in 93 to 97 % of intervals, errs little, and says what is false in under 5 % of gardens", () => {
    for (const kind of stored.kinds) {
      expect(kind.covered.share).toBeGreaterThanOrEqual(0.93);
      expect(kind.covered.share).toBeLessThanOrEqual(0.97);
      expect(kind.medianErrorCm).toBeLessThan(kind.blocks === 14 ? 0.3 : 0.6);
      expect(kind.falseHalfGap.high).toBeLessThan(0.05);
      expect(kind.falseNever.high).toBeLessThan(0.05);
    }
  });
});
