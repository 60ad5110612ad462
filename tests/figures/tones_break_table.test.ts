import { expect, test } from "vitest";
import { tonesBreakTable } from "../../lib/figures/tones_break_table.ts";
import { signalsAboveBreak } from "../../lib/tones/signals_above_break.ts";
import { machineA, passes, signal } from "../tones/_log_rows.ts";

test("tonesBreakTable() shows and records what the break tells, absences with their word", () => {
  const dug = (id: string, name: "ferrous" | "masked-good", reading: number) =>
    signal(id, {
      dug: "yes",
      outcome: { status: "known", class: name, grade: "measured" },
      right: passes(reading),
    });
  const signals = [dug("1", "ferrous", 100), dug("2", "ferrous", 300), dug("3", "masked-good", 300)];
  const { text, recorded } = tonesBreakTable(
    signalsAboveBreak({ machines: [machineA], settings: [], signals }),
  );
  expect(text.split("\n").at(-1)).toMatch(
    /^Machine A \| 100\u00a0% .* \| no signals .* \| 50\u00a0% .* \| 75\u00a0% .* \| 0\.5/,
  );
  expect(recorded.results.map(({ id }) => id)).toEqual([
    "tones.maskedAboveBreak",
    "tones.nonFerrousAboveBreak",
    "tones.ironAboveBreak",
    "tones.breakBalancedAccuracy",
    "tones.youden",
  ]);
});
