import { expect, test } from "vitest";
import { tonesShareTable } from "../../lib/figures/tones_share_table.ts";
import { bandTable } from "../../lib/tones/band_table.ts";

test("tonesShareTable() states every cell of the rows that hold a count, empty cells with their interval", () => {
  const counts = bandTable([
    { row: 0, column: 1, count: 3, cluster: "a" },
    { row: 0, column: 0, count: 1, cluster: "b" },
  ], {
    of: { machine: "Machine A" },
    unit: "signals",
    rows: ["masked-good", "ferrous"],
    columns: ["iron", "low", "high"],
  });
  const { text, recorded } = tonesShareTable(counts, {
    caption: "Shares",
    rowTitle: "outcome",
    compared: "outcome and band",
  });
  // Wilson's interval of none of four reaches to 49 % (z^2 / (n + z^2) with z = 1.96), of three of four from 30 to 95 %.
  expect(text.split("\n").slice(1)).toEqual([
    "outcome | iron | low | high",
    "masked good (4) | 25\u00a0% (5 to 70\u00a0%) | 75\u00a0% (30 to 95\u00a0%) | 0\u00a0% (0 to 49\u00a0%)",
  ]);
  expect(recorded.results.map(({ of }) => [of!.row, of!.column])).toEqual([
    ["masked-good", "iron"],
    ["masked-good", "low"],
    ["masked-good", "high"],
  ]);
});
