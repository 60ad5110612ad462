import { describe, expect, test } from "vitest";
import { deriveOutcome, type Find, type OutcomeFacts, type Passes, readReadings } from "../../lib/log/mod.ts";

const passes = (cell: string): Passes => {
  const read = readReadings(cell);
  if ("fault" in read || read.passes === null) throw new Error(cell);
  return read.passes;
};
const find = (rest: Partial<Find> = {}): Find => ({
  find_id: "f",
  hole_id: "h",
  order: 1,
  metal: null,
  keep: null,
  depth_cm: null,
  readings_alone: null,
  what: null,
  reported: null,
  ...rest,
});
const facts = (rest: Partial<OutcomeFacts> = {}): OutcomeFacts => ({
  right: passes("400 410"),
  left: passes("405"),
  dug: "yes",
  stopped_why: null,
  result: "found",
  iron_evidence: null,
  finds: [],
  ...rest,
});
const short = (rest: Partial<OutcomeFacts>, repeatLimit: number | null = 10) => {
  const { status, class: kind, grade } = deriveOutcome(facts(rest), { repeatLimit });
  return kind === null ? status : `${kind}, ${grade}`;
};
const good = { metal: "non-ferrous", keep: "yes" } as const;

describe("deriveOutcome()", () => {
  test.each<[string, Partial<OutcomeFacts>, string]>([
    ["not dug", { dug: "no", finds: [find(good)] }, "not-dug"],
    ["given up", { dug: "stopped" }, "stopped"],
    ["given up as a hazard", { dug: "stopped", stopped_why: "hazard" }, "hazard"],
    [
      "a hazard among the finds",
      { finds: [find(good), find({ metal: "ferrous", keep: "hazard" })] },
      "hazard",
    ],
    ["an empty hole", { result: "nothing-found" }, "nothing-found"],
    ["not identified", { result: "not-identified" }, "unknown"],
    ["nothing noted", {}, "unknown"],
    ["one iron", { finds: [find({ metal: "ferrous" })] }, "ferrous, by-evidence"],
    [
      "two irons",
      { finds: [find({ metal: "ferrous" }), find({ metal: "ferrous", keep: "yes" })] },
      "ferrous, by-evidence",
    ],
    [
      "an iron and one not sure",
      { finds: [find({ metal: "ferrous" }), find({ metal: "not-sure" })] },
      "unknown",
    ],
    ["one not sure", { finds: [find({ metal: "not-sure", keep: "yes" })] }, "unknown"],
    ["a good find", { finds: [find(good)] }, "non-ferrous, by-evidence"],
    ["a thing of two metals worth keeping, iron touching", {
      iron_evidence: "touching",
      finds: [find({ metal: "both", keep: "yes" })],
    }, "masked-good, by-evidence"],
    [
      "a good find, iron in the plug",
      { iron_evidence: "in-plug", finds: [find(good)] },
      "masked-good, by-evidence",
    ],
    [
      "a good find, iron in the hole only",
      { iron_evidence: "in-hole", finds: [find(good)] },
      "non-ferrous, by-evidence",
    ],
    ["foil with iron touching", {
      iron_evidence: "touching",
      finds: [find({ metal: "non-ferrous", keep: "no" })],
    }, "non-ferrous, by-evidence"],
    ["nobody said whether to keep it, iron touching", {
      iron_evidence: "touching",
      finds: [find({ metal: "non-ferrous" })],
    }, "unknown"],
    [
      "nobody said whether to keep it",
      { finds: [find({ metal: "non-ferrous" })] },
      "non-ferrous, by-evidence",
    ],
    [
      "a nail and foil",
      { finds: [find({ metal: "ferrous" }), find({ metal: "non-ferrous", keep: "no" })] },
      "non-ferrous, by-evidence",
    ],
    [
      "read alone, far off",
      { finds: [find({ ...good, readings_alone: passes("430 430") })] },
      "masked-good, measured",
    ],
    ["read alone, near", {
      iron_evidence: "touching",
      finds: [find({ ...good, readings_alone: passes("414 415") })],
    }, "non-ferrous, measured"],
    [
      "read alone, exactly at the limit",
      { finds: [find({ ...good, readings_alone: passes("415") })] },
      "non-ferrous, measured",
    ],
    ["silent before, a number alone", {
      right: passes("x x"),
      left: passes("x"),
      finds: [find({ ...good, readings_alone: passes("415") })],
    }, "masked-good, measured"],
    ["no readings before", {
      right: null,
      left: null,
      finds: [find({ ...good, readings_alone: passes("415") })],
    }, "non-ferrous, by-evidence"],
    [
      "silent alone",
      { iron_evidence: "touching", finds: [find({ ...good, readings_alone: passes("x x") })] },
      "masked-good, by-evidence",
    ],
    ["foil read alone far off, not worth keeping", {
      finds: [find({ metal: "non-ferrous", keep: "no", readings_alone: passes("100") })],
    }, "non-ferrous, by-evidence"],
    [
      "its own word",
      { outcome_stated: "masked-good", finds: [find({ metal: "ferrous" })] },
      "masked-good, as-stated",
    ],
    ["its own word unknown", { outcome_stated: "unknown", finds: [find({ metal: "ferrous" })] }, "unknown"],
    ["its own word does not dig a hole", { dug: "no", outcome_stated: "ferrous" }, "not-dug"],
    ["two good finds, one read and near, one not read, iron touching", {
      iron_evidence: "touching",
      finds: [find({ ...good, readings_alone: passes("405") }), find(good)],
    }, "masked-good, by-evidence"],
  ])("%s", (_, rest, outcome) => {
    expect(short(rest)).toBe(outcome);
  });

  test("a range stands by its ends, a triple by its usual", () => {
    expect(
      short({
        right: passes("390-400"),
        left: null,
        finds: [find({ ...good, readings_alone: passes("395") })],
      }, 1),
    ).toBe("non-ferrous, measured");
    expect(
      short({
        right: passes("300-405-410"),
        left: null,
        finds: [find({ ...good, readings_alone: passes("405") })],
      }, 1),
    ).toBe("non-ferrous, measured");
  });

  test("without a repeat limit a find read alone settles nothing", () => {
    expect(short({ finds: [find({ ...good, readings_alone: passes("100") })] }, null)).toBe(
      "non-ferrous, by-evidence",
    );
  });

  test("refuses a limit that is none", () => {
    expect(() => deriveOutcome(facts(), { repeatLimit: NaN })).toThrow(
      new RangeError("Cannot derive outcome: repeatLimit must be 0 or above, got NaN"),
    );
  });
});
