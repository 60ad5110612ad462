import { describe, expect, test } from "vitest";
import type { GardenProof } from "../../lib/garden/mod.ts";
import { gardenProofPage } from "../../lib/writeup/garden_proof_page.ts";

const read = (path: string) => Deno.readTextFileSync(new URL(`../../${path}`, import.meta.url));

describe("gardenProofPage()", () => {
  test("is what stands beside the stored results, made from the stored results", () => {
    const stored = JSON.parse(read("datasets/proofs/garden.json")) as GardenProof & {
      readonly command: string;
    };
    for (const { name, text } of gardenProofPage(stored, { command: stored.command })) {
      expect(read(`datasets/proofs/${name}`)).toBe(text);
    }
  });
});
