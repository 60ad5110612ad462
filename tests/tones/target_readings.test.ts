import { describe, expect, test } from "vitest";
import { targetReadings } from "../../lib/tones/target_readings.ts";
import { deepFreeze, machineA, machineB, passes, trial } from "./_log_rows.ts";

const garden = deepFreeze({
  machines: [machineA, machineB],
  settings: [],
  trials: [
    trial("1", { target: "disc", right: passes(500, 502), left: passes(504) }),
    trial("2", { target: "disc", neighbour: "nail", gap_cm: 2, right: passes(250) }),
    trial("3", { target: "disc", neighbour: "nail", gap_cm: null, right: passes(260) }),
    trial("4", { target: "disc", neighbour: "nail", gap_cm: 1, right: passes("x") }),
    trial("5", { neighbour: "nail", right: passes(90) }),
    trial("6", { target: "disc" }),
    trial("7", { machine: "Machine B", target: "disc", right: passes(100) }),
  ],
});

describe("targetReadings()", () => {
  const [a, b] = targetReadings(garden);
  test("gives the centre of each trial with a target, by the way it was laid, narrowest gap first and clean last", () => {
    expect(a!.readings).toEqual([
      { target: "disc", laid: "clean", reading: 502 },
      { target: "disc", laid: "2 to under 4 cm", reading: 250 },
      { target: "disc", laid: "gap not logged", reading: 260 },
    ]);
    expect(a!.laid).toEqual(["2 to under 4 cm", "gap not logged", "clean"]);
  });
  test("counts silent trials, leaves out those without readings or target, and keeps machines apart", () => {
    expect(a!.silent).toEqual({ "under 2 cm": 1 });
    expect(b).toMatchObject({ of: { machine: "Machine B" }, readings: [{ reading: 100 }] });
  });
  test("takes other gap classes, and refuses edges that do not ascend", () => {
    expect(targetReadings(garden, { gapEdgesCm: [] })[0]!.laid).toEqual([
      "any gap",
      "gap not logged",
      "clean",
    ]);
    expect(() => targetReadings(garden, { gapEdgesCm: [4, 2] })).toThrow(
      new RangeError("Cannot make gap classes: edges must be above 0 and ascend, got 4, 2"),
    );
    expect(targetReadings({ machines: [], settings: [], trials: [] })).toEqual([]);
  });
});
