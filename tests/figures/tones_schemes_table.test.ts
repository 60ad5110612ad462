import { expect, test } from "vitest";
import { tonesSchemesTable } from "../../lib/figures/tones_schemes_table.ts";
import { compareSchemes, compareSchemesInGarden } from "../../lib/tones/compare_schemes.ts";
import { garden, season } from "./_tone_logs.ts";

test("tonesSchemesTable() shows the season's schemes in sight and the garden's folded, own first and without a difference", () => {
  const two = {
    name: "two",
    kind: "bands" as const,
    breaks: [320],
    bands: season.machines[0]!.tones.bands.slice(0, 2),
  };
  const schemes = { "Machine A": [two] };
  const { html, text } = tonesSchemesTable(
    compareSchemes(season, { schemes }),
    compareSchemesInGarden(garden, { schemes }),
  );
  const open = html.replace(/<details.*<\/details>/s, "");
  expect(open).toContain("Machine A, dug signals");
  expect(open).not.toContain("test garden, all gaps");
  expect(html).toContain("<summary>The same schemes in the test garden</summary>");
  expect(text).toMatch(/\nown: four \| 100\u00a0% .*? \| {2}\| {2}\| 0\u00a0% .*? \| {2}\|/);
  // The masked good at 300 lies below the other scheme's break of 320.
  expect(text).toMatch(/\ntwo \| 0\u00a0% /);
  // One masked good heard under one scheme only: the exact p is 1, the mid p one half.
  expect(text).toMatch(/\ntwo \| .* \| 0\.500 \| /);
  expect(tonesSchemesTable(compareSchemes(season, { schemes }), []).html).not.toContain("<details");
});
