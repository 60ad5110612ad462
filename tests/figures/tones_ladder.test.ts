import { describe, expect, test } from "vitest";
import { tonesLadder } from "../../lib/figures/tones_ladder.ts";
import { targetReadings } from "../../lib/tones/target_readings.ts";
import { deepFreeze, machineA, passes, trial } from "../tones/_log_rows.ts";

const garden = deepFreeze({
  machines: [machineA],
  settings: [],
  trials: [
    trial("c", { target: "disc", right: passes(500) }),
    trial("a", { target: "disc", neighbour: "nail", gap_cm: 1, right: passes(210) }),
    trial("b", { target: "disc", neighbour: "nail", gap_cm: 9, right: passes(600) }),
    trial("d", { target: "ball", neighbour: "nail", gap_cm: 1, right: passes(0) }),
    trial("s", { target: "ball", neighbour: "nail", gap_cm: 1, right: passes("x") }),
    trial("n", { neighbour: "nail", right: passes(100) }),
    trial("e", { target: "ball", neighbour: "nail" }),
  ],
});

describe("targetReadings()", () => {
  test("gives the centres of trials with a target, narrowest gap first and clean last, silent ones counted", () => {
    const [arm] = targetReadings(garden);
    expect(arm!.laid).toEqual(["under 2 cm", "8 cm or more", "clean"]);
    expect(arm!.readings.map(({ target, laid, reading }) => [target, laid, reading])).toEqual([
      ["disc", "clean", 500],
      ["disc", "under 2 cm", 210],
      ["disc", "8 cm or more", 600],
      ["ball", "under 2 cm", 0],
    ]);
    expect(arm!.silent).toEqual({ "under 2 cm": 1 });
  });
});

describe("tonesLadder()", () => {
  const svg = tonesLadder(targetReadings(garden)[0]!, { name: "ladder" });
  test("draws a dot a trial in a panel a target, over the machine's bands", () => {
    expect(svg.match(/<circle [^>]*r="4"/g)).toHaveLength(4);
    for (
      const word of ["disc (3 trials)", "ball (1 trials)", "iron", "middle", "&lt; 2 cm", "8+ cm", "clean"]
    ) expect(svg).toContain(word);
  });
  test("says in words where targets fall, a reading on a break in the upper band, the top of the scale in the highest", () => {
    expect(svg).toContain("disc: clean 1 high; beside a neighbour 1 low, 1 high");
    expect(svg).toContain("ball: clean none; beside a neighbour 1 iron");
  });
  test("refuses an arm without readings", () => {
    expect(() => tonesLadder({ ...targetReadings(garden)[0]!, readings: [] }, { name: "ladder" })).toThrow(
      new RangeError('Cannot draw "ladder": there is no reading'),
    );
  });
});
