import { expect, test } from "vitest";
import { passesInTurn } from "../../lib/tones/_passes_in_turn.ts";
import { passes } from "./_log_rows.ts";

test("passesInTurn() alternates right and left as the coil does, and lets the longer direction go on alone", () => {
  const turns = passesInTurn({ right: passes(1, 2, "x"), left: passes(9) });
  expect(turns.map(({ reading, direction }) => [reading, direction])).toEqual([[1, 1], [9, -1], [2, 1], [
    null,
    1,
  ]]);
});

test("passesInTurn() takes no summary for passes", () => {
  const range = { ...passes(100, 300), kind: "range" as const, passes: null };
  expect(passesInTurn({ right: range, left: passes(5) })).toEqual([{ reading: 5, direction: -1 }]);
  expect(passesInTurn({ right: null, left: null })).toEqual([]);
});
