import { expect, test } from "vitest";
import { tonesAnswer } from "../../lib/figures/tones_answer.ts";
import { bandsDropped } from "../../lib/tones/bands_dropped.ts";
import { signalsAboveBreak } from "../../lib/tones/signals_above_break.ts";
import { garden, season } from "./_tone_logs.ts";

test("tonesAnswer() names machine, shares and bands, each recorded", () => {
  const { text, recorded } = tonesAnswer(signalsAboveBreak(season), bandsDropped(garden));
  expect(text).toMatch(/^\*\*On Machine A\*\* 100\u00a0% .* of the masked goods dug/);
  expect(recorded.results.map(({ id }) => id)).toEqual([
    "tones.maskedAboveBreak",
    "tones.ironAboveBreak",
    "tones.nonFerrousAboveBreak",
    "tones.youden",
    "tones.bandsDropped",
    "tones.droppedAtLeastOne",
    "tones.intoLowest",
  ]);
  expect(recorded.results[4]).toMatchObject({ value: 3, of: { machine: "Machine A", gap: "under 2 cm" } });
});
