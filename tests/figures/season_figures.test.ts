import { describe, expect, test } from "vitest";
import type { Outcome, Signal } from "../../lib/log/mod.ts";
import { seasonAnswer } from "../../lib/figures/season_answer.ts";
import { seasonCounts } from "../../lib/figures/season_counts.ts";
import { seasonLoadTable } from "../../lib/figures/season_load_table.ts";
import { seasonOutcomesBySite } from "../../lib/figures/season_outcomes_by_site.ts";
import { seasonReadingsByOutcome } from "../../lib/figures/season_readings_by_outcome.ts";
import { seasonAtAGlance } from "../../lib/sweep/season_at_a_glance.ts";
import { deepFreeze, machineA, machineB, passes, signal } from "../tones/_log_rows.ts";

const known = (name: Outcome["class"]): Outcome => ({ status: "known", class: name, grade: "by-evidence" });
const season = (signals: Signal[]) => deepFreeze({ machines: [machineA, machineB], settings: [], signals });
const three = season([
  signal("1", { site: "Site A", dug: "yes", outcome: known("ferrous"), right: passes(100) }),
  signal("2", { site: "Site A", dug: "yes", outcome: known("masked-good"), right: passes(600) }),
  signal("3", { site: "Site B" }),
  signal("4", { site: "Site B", dug: "yes", outcome: known("ferrous"), right: passes(210) }),
]);

describe("seasonOutcomesBySite()", () => {
  test("draws every site with its count and says the totals in words", () => {
    const svg = seasonOutcomesBySite(seasonAtAGlance(three), { name: "sites" });
    for (const word of ["Site A", "Site B", "masked good", "left in the ground"]) expect(svg).toContain(word);
    expect(svg).toContain(
      "Bars of 4 signals on 2 sites. All sites: masked good 1, other non-ferrous 0, iron 2, dug, no outcome 0, left in the ground 1.",
    );
  });
  test("escapes a site's name", () => {
    const svg = seasonOutcomesBySite(seasonAtAGlance(season([signal("1", { site: "<script>x</script>" })])), {
      name: "sites",
    });
    expect(svg).not.toContain("<script");
  });
  test("refuses an empty season", () => {
    expect(() => seasonOutcomesBySite(seasonAtAGlance(season([])), { name: "sites" })).toThrow(
      new RangeError('Cannot draw "sites": there are no signals'),
    );
  });
});

describe("seasonReadingsByOutcome()", () => {
  test("draws the classes that occur, the ends of the scale included, and counts what lies above the break", () => {
    const svg = seasonReadingsByOutcome(three, { name: "readings", machine: "Machine A" });
    for (const word of ["iron (2 signals)", "masked goods (1 signals)", "middle"]) {
      expect(svg).toContain(word);
    }
    expect(svg).not.toContain("other non-ferrous (");
    expect(svg).toContain("On or above the iron break of 210: 1 of 2 iron, 1 of 1 masked goods.");
  });
  test("refuses a machine nobody described, too few bins, and nothing to draw", () => {
    expect(() => seasonReadingsByOutcome(three, { name: "r", machine: "Machine C" })).toThrow(
      new RangeError('Cannot draw "r": no machine "Machine C" in the season'),
    );
    expect(() => seasonReadingsByOutcome(three, { name: "r", machine: "Machine A", bins: 1 })).toThrow(
      new RangeError('Cannot draw "r": need 2 bins or more, got 1'),
    );
    expect(() => seasonReadingsByOutcome(three, { name: "r", machine: "Machine B" })).toThrow(
      new RangeError('Cannot draw "r": no dug signal has an outcome and a number'),
    );
  });
});

describe("season tables", () => {
  test("seasonCounts() keeps months and names as they are", () => {
    const { text, recorded } = seasonCounts(seasonAtAGlance(three).byMonth, {
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
  test("seasonAnswer() records every number it says", () => {
    const { text, recorded } = seasonAnswer(seasonAtAGlance(three));
    expect(text).toContain("4 signals on 2 sites");
    const ids = recorded.results.map(({ id }) => id);
    expect(ids[0]).toBe("season.holesPerGoodFind");
    expect(ids.filter((id) => id === "season.outcomes")).toHaveLength(8);
  });
  test("seasonLoadTable() shows rows in and what became of them, and the rules that were broken", () => {
    const { text } = seasonLoadTable({
      inputs: [{ role: "dig-log", rows: 9, accepted: 5, rejected: 2, blank: 1, planned: 1, heldBack: 3 }],
      rejectedByRule: [{ role: "dig-log", field: null, rule: "ragged row", count: 2 }],
    });
    expect(text).toContain("dig log | 9 | 5 | 2 | 1 | 1 | 3");
    expect(text).toContain("dig log | whole row | ragged row | 2");
  });
});
