import { expect, test } from "vitest";
import { tonesDropTable } from "../../lib/figures/tones_drop_table.ts";
import { bandsDropped } from "../../lib/tones/bands_dropped.ts";
import { garden } from "./_tone_logs.ts";

test("tonesDropTable() shows a row a class of gaps", () => {
  const { text, recorded } = tonesDropTable(bandsDropped(garden));
  expect(text).toContain("Machine A | under 2 cm | 3");
  expect(recorded.results.map(({ id }) => id)).toEqual([
    "tones.bandsDropped",
    "tones.droppedAtLeastOne",
    "tones.intoLowest",
  ]);
  expect(tonesDropTable([]).recorded.results).toEqual([]);
});
