import { expect, test } from "vitest";
import { seasonSiteTable } from "../../lib/figures/season_site_table.ts";
import { seasonAtAGlance } from "../../lib/sweep/season_at_a_glance.ts";
import { four } from "./_season_of.ts";

test("seasonSiteTable() gives each site its counts and the share of holes with a good find", () => {
  const { text, recorded } = seasonSiteTable(seasonAtAGlance(four));
  expect(text).toMatch(/\nSite A \| 2 \| 2 \| /);
  expect(text).toMatch(/\nSite B \| 2 \| 1 \| /);
  expect(recorded.results.filter(({ of }) => of?.site === "Site A").map(({ id }) => id)).toEqual([
    "season.signals",
    "season.holes",
    "season.finds",
    "season.goodFinds",
    "season.goodHoles",
  ]);
});
