import { expect, test } from "vitest";
import { tonesAgreementTable } from "../../lib/figures/tones_agreement_table.ts";
import { cleanByTogether } from "../../lib/tones/clean_by_together.ts";
import { garden } from "./_tone_logs.ts";

test("tonesAgreementTable() shows a row a machine, with what was left out", () => {
  const { text, recorded } = tonesAgreementTable(cleanByTogether(garden));
  expect(text).toContain("Machine A | 0\u00a0%");
  expect(recorded.results.map(({ id }) => id)).toEqual([
    "tones.sameBand",
    "tones.balancedAccuracy",
    "tones.kappa",
    "tones.weightedKappa",
    "tones.movedDown",
    "tones.symmetryP",
    "tones.leftOut",
    "tones.leftOut",
  ]);
  expect(recorded.results.slice(-2).map((one) => "value" in one && one.value)).toEqual([0, 1]);
  // One trial that moved down: chi-squared of 1 with one degree of freedom, p 0.317.
  expect(text).toContain(" | 0.317 | ");
});
