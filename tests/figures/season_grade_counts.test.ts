import { expect, test } from "vitest";
import { seasonGradeCounts } from "../../lib/figures/season_grade_counts.ts";
import type { Outcome } from "../../lib/log/mod.ts";

test("seasonGradeCounts() counts known outcomes by how well they are known, and leaves the others out", () => {
  const of = (name: Outcome["class"], grade: Outcome["grade"]) =>
    ({ outcome: { status: name === null ? "unknown" : "known", class: name, grade } }) as const;
  const { text, recorded } = seasonGradeCounts([
    of("ferrous", "by-evidence"),
    of("ferrous", "by-evidence"),
    of("masked-good", "measured"),
    of("non-ferrous", "as-stated"),
    of(null, null),
  ]);
  expect(text.split("\n")[1]).toBe("outcome | measured | by evidence | as stated | all signals");
  expect(recorded.tables[0]).toMatchObject({ id: "season.grades", n: 4 });
  expect(text).toContain("masked good | 1 | 0 | 0 | 1");
  expect(text).toContain("ferrous | 0 | 2 | 0 | 2");
});
