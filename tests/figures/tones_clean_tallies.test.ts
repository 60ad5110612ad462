import { expect, test } from "vitest";
import { tonesCleanTallies } from "../../lib/figures/tones_clean_tallies.ts";
import { cleanByTogether } from "../../lib/tones/clean_by_together.ts";
import { garden } from "./_tone_logs.ts";

test("tonesCleanTallies() records trials and passes apart", () => {
  const { recorded } = tonesCleanTallies(cleanByTogether(garden)[0]!);
  expect(recorded.tables.map(({ id, n, of }) => [id, n, of?.unit, of?.gap ?? of?.neighbour])).toEqual([
    ["tones.cleanByTogether", 1, "trials", undefined],
    ["tones.cleanByTogether", 1, "trials", "under 2 cm"],
    ["tones.cleanByTogether", 1, "trials", "nail"],
    ["tones.passesCleanByTogether", 2, "passes", undefined],
  ]);
});
