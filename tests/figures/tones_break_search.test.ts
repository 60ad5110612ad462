import { describe, expect, test } from "vitest";
import { tonesBreakSearch } from "../../lib/figures/tones_break_search.ts";
import { tonesSchemesTable } from "../../lib/figures/tones_schemes_table.ts";
import { betterBreaks } from "../../lib/tones/better_breaks.ts";
import { compareSchemes } from "../../lib/tones/compare_schemes.ts";
import { machineA, passes, signal } from "../tones/_log_rows.ts";

const dug = (id: string, name: "ferrous" | "masked-good", reading: number) =>
  signal(id, {
    dug: "yes",
    outcome: { status: "known", class: name, grade: "measured" },
    right: passes(reading),
  });
const season = {
  machines: [machineA],
  settings: [],
  signals: [
    dug("1", "ferrous", 100),
    dug("2", "ferrous", 260),
    dug("3", "masked-good", 300),
    dug("4", "masked-good", 500),
  ],
};

describe("tonesBreakSearch()", () => {
  const [found] = betterBreaks(season);
  test("marks the middle of the cheapest places and the machine's own break, in the drawing and in words", () => {
    const svg = tonesBreakSearch(found!, { name: "search" });
    // Breaks from 261 to 300 part iron from goods: the middle of these forty steps is 280.
    expect(svg).toContain("cheapest: 280");
    expect(svg).toContain("own: 210");
    expect(svg).toContain(
      "Cost of a single tone break on Machine A at each step from 0 to 600: cheapest at 280, the machine's own lowest break at 210.",
    );
  });
  test("refuses where no break could be searched for", () => {
    expect(() => tonesBreakSearch({ of: {}, singleBreak: [], ownBreaks: [] }, { name: "search" })).toThrow(
      new RangeError('Cannot draw "search": no break could be searched for'),
    );
  });
});

describe("tables of schemes", () => {
  test("tonesSchemesTable() leaves the own scheme's differences with itself empty", () => {
    const { text, recorded } = tonesSchemesTable(compareSchemes(season), []);
    expect(text).toContain(
      "own: four | 100\u00a0% (34 to 100\u00a0%) |  |  | 50\u00a0% (9 to 91\u00a0%) |  |",
    );
    expect(recorded.results.filter(({ id }) => id === "tones.schemeMaskedDifference")).toHaveLength(5);
  });
});
