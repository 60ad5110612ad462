import { expect, test } from "vitest";
import { seasonCounts } from "../../lib/figures/season_counts.ts";
import { seasonAtAGlance } from "../../lib/sweep/season_at_a_glance.ts";
import { four } from "./_season_of.ts";

test("seasonCounts() keeps months and names as they are", () => {
  const { text, recorded } = seasonCounts(seasonAtAGlance(four).byMonth, {
    id: "season.outcomeByMonth",
    caption: "By month",
    rowTitle: "month",
  });
  expect(text).toContain("2025-03 | 2 | 1 | 0 | 0 | 0 | 0 | 0 | 1 | 4");
  expect(text).toContain("non-ferrous");
  expect(recorded.tables[0]).toMatchObject({
    n: 4,
    columns: expect.arrayContaining(["masked good", "not dug"]),
  });
});
