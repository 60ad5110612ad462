import { expect, test } from "vitest";
import { seasonAnswer } from "../../lib/figures/season_answer.ts";
import { seasonAtAGlance } from "../../lib/sweep/season_at_a_glance.ts";
import { four } from "./_season_of.ts";

test("seasonAnswer() records every number it says", () => {
  const { text, recorded } = seasonAnswer(seasonAtAGlance(four));
  expect(text).toContain("4 signals on 2 sites");
  const ids = recorded.results.map(({ id }) => id);
  expect(ids[0]).toBe("season.holesPerGoodFind");
  expect(ids.filter((id) => id === "season.outcomes")).toHaveLength(8);
});
