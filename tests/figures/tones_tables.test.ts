import { describe, expect, test } from "vitest";
import type { Outcome } from "../../lib/log/mod.ts";
import { tonesAgreementTable } from "../../lib/figures/tones_agreement_table.ts";
import { tonesAnswer } from "../../lib/figures/tones_answer.ts";
import { tonesArmWords } from "../../lib/figures/tones_arm_words.ts";
import { tonesCleanTallies } from "../../lib/figures/tones_clean_tallies.ts";
import { tonesDropTable } from "../../lib/figures/tones_drop_table.ts";
import { tonesHeardTable } from "../../lib/figures/tones_heard_table.ts";
import { signalsAboveBreak } from "../../lib/tones/signals_above_break.ts";
import { bandHeardByRead } from "../../lib/tones/band_heard_by_read.ts";
import { bandsDropped } from "../../lib/tones/bands_dropped.ts";
import { cleanByTogether } from "../../lib/tones/clean_by_together.ts";
import { machineA, passes, signal, trial } from "../tones/_log_rows.ts";

const garden = {
  machines: [machineA],
  settings: [],
  trials: [
    trial("c", { target: "disc", right: passes(500) }),
    trial("t", { target: "disc", neighbour: "nail", gap_cm: 1, right: passes(100, 220) }),
    trial("u", { target: "disc", neighbour: "nail", gap_cm: 1 }),
  ],
};
const known = (name: Outcome["class"]): Outcome => ({ status: "known", class: name, grade: "measured" });
const season = {
  machines: [machineA],
  settings: [],
  signals: [
    signal("1", { dug: "yes", outcome: known("ferrous"), right: passes(100), tone_heard: "iron" }),
    signal("2", { dug: "yes", outcome: known("masked-good"), right: passes(300), tone_heard: "high" }),
  ],
};

describe("tables of tone bands", () => {
  test("tonesAnswer() names machine, shares and bands, each recorded", () => {
    const { text, recorded } = tonesAnswer(signalsAboveBreak(season), bandsDropped(garden));
    expect(text).toMatch(/^\*\*Machine A\.\*\* Of the masked goods dug, 100\u00a0%/);
    expect(recorded.results.map(({ id }) => id)).toEqual([
      "tones.maskedAboveBreak",
      "tones.ironAboveBreak",
      "tones.nonFerrousAboveBreak",
      "tones.youden",
      "tones.bandsDropped",
      "tones.droppedAtLeastOne",
      "tones.intoLowest",
    ]);
    expect(recorded.results[4]).toMatchObject({ value: 3, of: { machine: "Machine A", gap: "under 2 cm" } });
  });
  test("tonesDropTable() and tonesAgreementTable() show a row a class and a machine", () => {
    expect(tonesDropTable(bandsDropped(garden)).text).toContain("Machine A | under 2 cm | 3");
    const { text, recorded } = tonesAgreementTable(cleanByTogether(garden));
    expect(text).toContain("Machine A | 0\u00a0%");
    expect(
      recorded.results.filter(({ id }) => id === "tones.leftOut").map((one) => "value" in one && one.value),
    ).toEqual([0, 1]);
  });
  test("tonesCleanTallies() records trials and passes apart", () => {
    const { recorded } = tonesCleanTallies(cleanByTogether(garden)[0]!);
    expect(recorded.tables.map(({ id, n, of }) => [id, n, of?.unit, of?.gap ?? of?.neighbour])).toEqual([
      ["tones.cleanByTogether", 1, "trials", undefined],
      ["tones.cleanByTogether", 1, "trials", "under 2 cm"],
      ["tones.cleanByTogether", 1, "trials", "nail"],
      ["tones.passesCleanByTogether", 2, "passes", undefined],
    ]);
  });
  test("tonesHeardTable() leaves out machines on which no tone was written down", () => {
    expect(tonesHeardTable(bandHeardByRead(season)).text).toContain(
      "Machine A: tone heard (rows) by band of the readings",
    );
    const silent = { ...season, signals: season.signals.map((one) => ({ ...one, tone_heard: null })) };
    expect(tonesHeardTable(bandHeardByRead(silent)).text).toBe(
      "No tone was written down that is the name of a band.",
    );
  });
  test("tonesArmWords() names a discrimination setting unless it is none", () => {
    expect(tonesArmWords({ machine: "Machine A", discrimination: "iron-silenced" })).toBe(
      "Machine A, iron silenced",
    );
  });
});
