import { describe, expect, test } from "vitest";
import { bandHeardByRead } from "../../lib/tones/band_heard_by_read.ts";
import { machineA, passes, signal } from "./_log_rows.ts";

const season = {
  machines: [machineA],
  settings: [],
  signals: [
    signal("1", { tone_heard: "iron", right: passes(100) }),
    signal("2", { tone_heard: " High ", right: passes(500) }),
    signal("3", { tone_heard: "low", right: passes(100) }),
    signal("4", { tone_heard: "low", right: passes("x") }),
    signal("5", { tone_heard: "a squeak by the gate", right: passes(100) }),
    signal("6", { tone_heard: "", right: passes(100) }),
    signal("7", { right: passes(100) }),
    signal("8", { tone_heard: "iron" }),
  ],
};

describe("bandHeardByRead()", () => {
  const [heard] = bandHeardByRead(season);
  test("compares the tone heard with the band of the centre", () => {
    expect(heard!.signals.rows).toEqual(["iron", "low", "middle", "high"]);
    expect(heard!.signals.columns).toEqual(["iron", "low", "middle", "high", "silent"]);
    expect(heard!.signals.counts).toEqual([[1, 0, 0, 0, 0], [1, 0, 0, 0, 1], [0, 0, 0, 0, 0], [
      0,
      0,
      0,
      1,
      0,
    ]]);
    expect(heard!.agreement.same).toMatchObject({ value: 2 / 3 });
  });
  test("counts what it leaves out and shows none of its text", () => {
    expect(heard!.leftOut).toEqual({
      "tone not logged": 2,
      "not the name of a band": 1,
      "readings not logged": 1,
    });
    expect(JSON.stringify(heard)).not.toContain("squeak");
    expect(heard!.signals.n + 4).toBe(season.signals.length);
  });
});
