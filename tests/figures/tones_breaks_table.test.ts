import { expect, test } from "vitest";
import { tonesBreaksTable } from "../../lib/figures/tones_breaks_table.ts";
import { betterBreaks } from "../../lib/tones/better_breaks.ts";
import { season } from "./_tone_logs.ts";

test("tonesBreaksTable() shows what was chosen and why nothing could be, each recorded", () => {
  const { text, recorded } = tonesBreaksTable(betterBreaks(season));
  expect(text).toContain("Machine A | too few");
  expect(text).toContain("Held-out sites need two sites or more");
  expect(recorded.results.map(({ id }) => id)).toEqual([
    "tones.lowestBreak",
    "tones.apparentGain",
    "tones.heldOutGain",
    "tones.optimism",
    "tones.goodDugMore",
    "tones.ironDugMore",
  ]);
  const iron = { ...season, signals: season.signals.slice(0, 1) };
  expect(tonesBreaksTable(betterBreaks(iron)).text).toContain(
    "Breaks need good targets and iron among the dug signals",
  );
});
