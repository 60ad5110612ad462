import { expect, test } from "vitest";
import { seasonFindsInHole } from "../../lib/figures/season_finds_in_hole.ts";

test("seasonFindsInHole() counts holes by their finds, one find in the singular", () => {
  const findsPerHole = [{ finds: "0", holes: 4 }, { finds: "1", holes: 9 }, { finds: "3 or more", holes: 1 }];
  const { text, recorded } = seasonFindsInHole({ findsPerHole });
  expect(text.split("\n").slice(1)).toEqual([
    " | 0 finds | 1 find | 3 or more finds | all holes",
    "holes | 4 | 9 | 1 | 14",
  ]);
  expect(recorded.tables[0]).toMatchObject({ id: "season.findsInHole", n: 14, of: { unit: "holes" } });
});
