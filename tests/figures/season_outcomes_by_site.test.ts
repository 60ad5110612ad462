import { describe, expect, test } from "vitest";
import { seasonOutcomesBySite } from "../../lib/figures/season_outcomes_by_site.ts";
import { seasonAtAGlance } from "../../lib/sweep/season_at_a_glance.ts";
import { signal } from "../tones/_log_rows.ts";
import { four, seasonOf } from "./_season_of.ts";

describe("seasonOutcomesBySite()", () => {
  test("draws every site with its count and says the totals in words", () => {
    const svg = seasonOutcomesBySite(seasonAtAGlance(four), { name: "sites" });
    for (const word of ["Site A", "Site B", "masked good", "left in the ground"]) expect(svg).toContain(word);
    expect(svg).toContain(
      "Bars of 4 signals on 2 sites. All sites: masked good 1, other non-ferrous 0, iron 2, dug, no outcome 0, left in the ground 1.",
    );
  });
  test("escapes a site's name", () => {
    const svg = seasonOutcomesBySite(
      seasonAtAGlance(seasonOf([signal("1", { site: "<script>x</script>" })])),
      {
        name: "sites",
      },
    );
    expect(svg).not.toContain("<script");
  });
  test("refuses an empty season", () => {
    expect(() => seasonOutcomesBySite(seasonAtAGlance(seasonOf([])), { name: "sites" })).toThrow(
      new RangeError('Cannot draw "sites": there are no signals'),
    );
  });
});
