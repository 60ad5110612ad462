import { expect, test } from "vitest";
import { tonesBreaksTable } from "../../lib/figures/tones_breaks_table.ts";
import { betterBreaks } from "../../lib/tones/better_breaks.ts";
import { passes } from "../tones/_log_rows.ts";
import { season } from "./_tone_logs.ts";

const IDS = [
  "tones.lowestBreak",
  "tones.apparentGain",
  "tones.heldOutGain",
  "tones.optimism",
  "tones.goodDugMore",
  "tones.ironDugMore",
];

test("tonesBreaksTable() has a row where sites were held out, each number recorded", () => {
  // Six sites, whose iron reads up to the good finds of one and no further on the others.
  const sites = [..."abcdef"].flatMap((site, i) =>
    season.signals.flatMap((each, j) =>
      [0, 1, 2].map((more) => ({
        ...each,
        site,
        signal_id: `${site}${each.signal_id}${more}`,
        right: passes(j === 0 ? 100 + 60 * i * more : 300 + 40 * i),
      }))
    )
  );
  const { text, recorded } = tonesBreaksTable(betterBreaks({ ...season, signals: sites }));
  expect(text).toMatch(/^Breaks chosen[^]*Machine A \|/);
  expect(recorded.results.map(({ id }) => id)).toEqual(IDS);
});

test("tonesBreaksTable() says in a sentence why no better break can be told", () => {
  const { text, recorded } = tonesBreaksTable(betterBreaks(season));
  expect(text).toMatch(/^On Machine A no better break can be told.*too few/);
  expect(text).toContain("Held-out sites need two sites or more");
  expect(text).not.toContain("|");
  expect(recorded.results.map(({ id }) => id)).toEqual(["tones.lowestBreak", "tones.heldOutGain"]);
  const iron = { ...season, signals: season.signals.slice(0, 1) };
  expect(tonesBreaksTable(betterBreaks(iron)).text).toContain(
    "Breaks need good targets and iron among the dug signals",
  );
});
