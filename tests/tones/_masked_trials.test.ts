import { describe, expect, test } from "vitest";
import { maskedTrials } from "../../lib/tones/_masked_trials.ts";
import { deepFreeze, machineA, machineB, passes, trial } from "./_log_rows.ts";

describe("maskedTrials()", () => {
  const garden = deepFreeze({
    machines: [machineA, machineB],
    settings: [],
    trials: [
      trial("c", { target: "disc", right: passes(500) }),
      trial("1", { target: "disc", neighbour: "nail", right: passes(250) }),
      trial("2", { target: "disc", neighbour: "nail", right: passes("x", "x") }),
      trial("3", { target: "disc", neighbour: "nail" }),
      trial("4", { target: "ball", neighbour: "nail", right: passes(250) }),
      trial("n", { machine: "Machine B", neighbour: "nail", right: passes(-100) }),
    ],
  });
  const arms = maskedTrials(garden);
  test("gives the band each way, silence as the one beyond the last", () => {
    expect(arms).toHaveLength(1);
    expect(
      arms[0]!.trials.map(({ trial, cleanBand, togetherBand }) => [trial.trial_id, cleanBand, togetherBand]),
    )
      .toEqual([["1", 3, 1], ["2", 3, 4]]);
    expect(arms[0]!.trials[0]!.cleanFrom).toBe("same block");
  });
  test("counts what it cannot use, by reason", () => {
    expect(arms[0]!.leftOut).toEqual({ "no clean reading": 1, "no reading together": 1 });
  });
});
