import { expect, test } from "vitest";
import { seasonLoadTable } from "../../lib/figures/season_load_table.ts";

test("seasonLoadTable() shows rows in and what became of them, and the rules that were broken", () => {
  const { html, text } = seasonLoadTable({
    inputs: [{ role: "dig-log", rows: 9, accepted: 5, rejected: 2, blank: 1, planned: 1, heldBack: 3 }],
    rejectedByRule: [{ role: "dig-log", field: null, rule: "ragged row", count: 2 }],
  });
  expect(text).toContain("dig log | 9 | 5 | 2 | 1 | 1 | 3");
  expect(text).toContain("dig log | whole row | ragged row | 2");
  expect(
    html.match(/<details class="folded"><summary>Rules that rejected rows broke<\/summary>.*ragged row/s),
  ).not.toBeNull();
});
