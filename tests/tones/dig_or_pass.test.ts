import { describe, expect, test } from "vitest";
import type { Find, Outcome, Signal } from "../../lib/log/mod.ts";
import { digOrPass } from "../../lib/tones/dig_or_pass.ts";
import { deepFreeze, machineA, machineB, passes, signal } from "./_log_rows.ts";

const find = (keep: Find["keep"]): Find => ({
  find_id: "F",
  hole_id: "H",
  order: 1,
  metal: null,
  keep,
  depth_cm: null,
  readings_alone: null,
  what: null,
  reported: null,
});
const dug = (id: string, name: Outcome["class"], parts: Partial<Signal> = {}): Signal =>
  signal(id, {
    dug: "yes",
    outcome: { status: "known", class: name, grade: "measured" },
    right: passes(100, 300),
    left: passes(100),
    ...(name === "ferrous" ? {} : { finds: [find("yes")] }),
    ...parts,
  });
const many = (name: Outcome["class"], count: number, parts: Partial<Signal> = {}) =>
  Array.from({ length: count }, (_, i) => dug(`${name}${i}`, name, parts));
const season = (signals: Signal[]) => deepFreeze({ machines: [machineA, machineB], settings: [], signals });
const enough = [...many("ferrous", 12), ...many("masked-good", 6), ...many("non-ferrous", 6)];

describe("digOrPass()", () => {
  test("asks ten sounds, half of them worth a hole, with masked goods among them, in an order drawn from the seed", () => {
    const places = new Set<number>();
    for (let seed = 1; seed <= 30; seed++) {
      const quiz = digOrPass(season(enough), { seed });
      if ("absent" in quiz) throw new Error(quiz.reason);
      const count = (outcome: string) => quiz.questions.filter((one) => one.outcome === outcome).length;
      expect([count("ferrous"), count("masked-good"), count("non-ferrous")]).toEqual([5, 3, 2]);
      expect(quiz.questions.every(({ dig, outcome }) => dig === (outcome !== "ferrous"))).toBe(true);
      expect(new Set(quiz.questions.map((one) => one.signal.signal_id)).size).toBe(10);
      expect(quiz.drawnFrom).toEqual({ dig: 12, pass: 12 });
      places.add(quiz.questions.findIndex(({ dig }) => dig));
      expect(digOrPass(season(enough), { seed })).toEqual(quiz);
    }
    expect(places.size).toBeGreaterThan(2);
  });
  test("fills up with what there is when one kind is short", () => {
    const few = [...many("ferrous", 5), ...many("masked-good", 1), ...many("non-ferrous", 4)];
    const quiz = digOrPass(season(few));
    expect("questions" in quiz && quiz.questions.filter(({ outcome }) => outcome === "masked-good").length)
      .toBe(1);
    const masked = [...many("ferrous", 5), ...many("masked-good", 5)];
    expect("questions" in digOrPass(season(masked))).toBe(true);
  });
  test("never asks what one must stop for, nor what nobody knows", () => {
    const never = [
      ...many("masked-good", 20, { finds: [find("yes"), find("hazard")] }),
      ...many("ferrous", 20, { outcome: { status: "hazard", class: null, grade: null } }),
      ...many("ferrous", 20, { dug: "stopped", stopped_why: "depth" }),
      ...many("ferrous", 20, { stopped_why: "roots" }),
      ...many("masked-good", 20, { outcome: { status: "unknown", class: null, grade: null } }),
      ...many("ferrous", 20, { dug: "no" }),
      ...many("ferrous", 20, { left: null }),
      ...many("ferrous", 20, { left: passes("x", "x") }),
      ...many("non-ferrous", 20, { finds: [find("no")] }),
    ].map((one, i) => ({ ...one, signal_id: `never${i}` }));
    for (let seed = 1; seed <= 20; seed++) {
      const quiz = digOrPass(season([...never, ...enough]), { seed });
      if ("absent" in quiz) throw new Error(quiz.reason);
      expect(quiz.questions.filter((one) => one.signal.signal_id.startsWith("never"))).toEqual([]);
    }
  });
  test("takes one machine and setting, the one with most to ask, and never two pooled", () => {
    const more = enough.map((one) => ({ ...one, signal_id: `B${one.signal_id}`, machine: "Machine B" }));
    const silenced = many("ferrous", 40, { discrimination: "iron-silenced" });
    const quiz = digOrPass(season([...enough, ...more.slice(0, 20)]));
    expect(quiz).toMatchObject({ of: { machine: "Machine A", discrimination: "none" } });
    expect(digOrPass(season([...enough, ...silenced]))).toMatchObject({ absent: "too few" });
  });
  test("says what is missing", () => {
    expect(digOrPass(season(many("ferrous", 9)))).toEqual({
      absent: "too few",
      reason: "A quiz of 10 sounds needs 5 signals worth a hole and 5 of iron, got 0 and 9",
      n: { "signals worth a hole": 0, "iron signals": 9 },
    });
    expect(digOrPass(season([]))).toMatchObject({ absent: "too few" });
    expect(() => digOrPass(season([]), { sounds: 1 })).toThrow(
      new RangeError("Cannot make a quiz: sounds must be a whole number of 2 or above, got 1"),
    );
  });
});
