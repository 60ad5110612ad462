import { describe, expect, test } from "vitest";
import { cleanReadings } from "../../lib/tones/_clean_reading.ts";
import { machineA, passes, trial } from "./_log_rows.ts";

const both = (id: string, parts: Parameters<typeof trial>[1] = {}) =>
  trial(id, { target: "disc", neighbour: "nail", gap_cm: 2, right: passes(250), ...parts });
const alone = (id: string, reading: number | "x", parts: Parameters<typeof trial>[1] = {}) =>
  trial(id, { target: "disc", right: passes(reading), ...parts });
const cleanOf = (...trials: ReturnType<typeof trial>[]) => cleanReadings(trials, machineA).get("t");

describe("cleanReadings()", () => {
  test("takes the nearest control: the block's own before others, laid alike before laid otherwise", () => {
    const [own, otherwise, other, far] = [
      alone("1", 500),
      alone("2", 490, { target_tilt: 45 }),
      alone("3", 480, { block: "B2" }),
      alone("4", 470, { block: "B2", target_tilt: 45 }),
    ];
    const one = both("t");
    expect(cleanOf(one, far, other, otherwise, own)).toEqual({ reading: 500, from: "same block" });
    expect(cleanOf(one, far, other, otherwise)).toEqual({ reading: 490, from: "same block, laid otherwise" });
    expect(cleanOf(one, far, other)).toEqual({ reading: 480, from: "other blocks" });
    expect(cleanOf(one, far)).toEqual({ reading: 470, from: "other blocks, laid otherwise" });
  });
  test("falls back on the row's own clean readings, and is missing without any", () => {
    expect(cleanOf(both("t", { clean: passes(460, 464) }))).toEqual({
      reading: 462,
      from: "written on the row",
    });
    expect(cleanOf(both("t"))).toBeUndefined();
  });
  test("pools the passes of several controls into one centre", () => {
    expect(cleanOf(both("t"), alone("1", 500), alone("2", 510), alone("3", 520))).toMatchObject({
      reading: 510,
    });
  });
  test("asks for the same settings, target, depth and coil height; a height left blank fits any", () => {
    const one = both("t");
    for (
      const parts of [{ settings: "other" }, { target: "ball" }, { depth_cm: 12 }, { coil_height_cm: 5 }]
    ) {
      expect(cleanOf(one, alone("1", 500, parts))).toBeUndefined();
    }
    expect(cleanOf(one, alone("1", 500, { coil_height_cm: null }))).toMatchObject({ reading: 500 });
  });
  test("says silent where every pass of the control was", () => {
    expect(cleanOf(both("t"), alone("1", "x"))).toEqual({ reading: "silent", from: "same block" });
  });
});
