import { describe, expect, test } from "vitest";
import { tonesDropByGap } from "../../lib/figures/tones_drop_by_gap.ts";
import { cleanByTogether } from "../../lib/tones/clean_by_together.ts";
import { machineA, passes, trial } from "../tones/_log_rows.ts";

const tables = (rows: [gap: number, reading: number | "x"][]) =>
  cleanByTogether({
    machines: [machineA],
    settings: [],
    trials: [
      trial("c", { target: "disc", right: passes(500) }),
      ...rows.map(([gap_cm, reading], i) =>
        trial(`${i}`, { target: "disc", neighbour: "nail", gap_cm, right: passes(reading) })
      ),
    ],
  })[0]!;

describe("tonesDropByGap()", () => {
  const svg = tonesDropByGap(tables([[1, 100], [1, 500], [3, 340], [9, 500], [1, "x"]]), { name: "drop" });
  test("writes the trials of each band and gap, with their share of that gap", () => {
    for (
      const word of [
        "1 (33 %)",
        "1 (100 %)",
        "under 2 cm",
        "8 cm or more",
        "clean: high (5 trials)",
        "silent",
      ]
    ) {
      expect(svg).toContain(word);
    }
  });
  test("leaves out gaps that were not laid and bands no target has clean", () => {
    expect(svg).not.toContain("4 to under 8 cm");
    expect(svg).not.toContain("clean: low");
  });
  test("says in words how many stayed in their band", () => {
    expect(svg).toContain(
      "under 2 cm: 1 of 3 in high, 2 to under 4 cm: 0 of 1 in high, 8 cm or more: 1 of 1 in high",
    );
  });
  test("draws 100 bands", () => {
    const breaks = Array.from({ length: 99 }, (_, i) => 6 * (i + 1));
    const bands = Array.from({ length: 100 }, (_, i) => ({ name: `b${i}`, pitch_hz: 440, loudness: 1 }));
    const many = cleanByTogether({
      machines: [{ ...machineA, tones: { name: "hundred", kind: "bands", breaks, bands } }],
      settings: [],
      trials: [
        trial("c", { target: "disc", right: passes(500) }),
        trial("t", { target: "disc", neighbour: "nail", gap_cm: 1, right: passes(100) }),
      ],
    })[0]!;
    expect(tonesDropByGap(many, { name: "many" })).toContain("clean: b83 (1 trials)");
  });
  test("refuses tables without trials", () => {
    expect(() => tonesDropByGap({ of: {}, byGap: [] }, { name: "drop" })).toThrow(
      new RangeError('Cannot draw "drop": there are no trials'),
    );
  });
});
