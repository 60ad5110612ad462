import { expect, test } from "vitest";
import { tonesTally } from "../../lib/figures/tones_tally.ts";
import { bandTable } from "../../lib/tones/band_table.ts";

test("tonesTally() keeps rows and columns without a count, in plain words, and records the table", () => {
  const table = bandTable([{ row: 0, column: 1, count: 3, cluster: "a" }], {
    of: { machine: "Machine A" },
    unit: "signals",
    rows: ["masked-good", "ferrous"],
    columns: ["iron", "low", "silent"],
  });
  const { text, recorded } = tonesTally(table, {
    id: "tones.bandByOutcome",
    caption: "Signals",
    rowTitle: "outcome",
  });
  expect(text.split("\n")).toEqual([
    "Signals",
    "outcome | iron | low | silent | all signals",
    "masked good | 0 | 3 | 0 | 3",
    "ferrous | 0 | 0 | 0 | 0",
  ]);
  expect(recorded.tables[0]).toMatchObject({ n: 3, of: { machine: "Machine A", unit: "signals" } });
});
