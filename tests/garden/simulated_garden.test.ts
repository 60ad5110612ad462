import { describe, expect, test } from "vitest";
import { driftOfTrials, fitDragCurves, simulatedGarden, workingSlope } from "../../lib/garden/mod.ts";
import { closedFormDrag } from "../../lib/virtual/mod.ts";

const quiet = { pass: 0, trial: 0, block: 0 };

describe("simulatedGarden()", () => {
  test("holds the trials asked for, with the target alone and each neighbour alone in every block", () => {
    const { trials } = simulatedGarden([{ name: "a", qCm2: 60 }, { name: "b", qCm2: 20 }], { seed: 1 });
    expect(trials.length).toBe(182);
    for (let b = 1; b <= 14; b++) {
      const own = trials.filter((trial) => trial.block === `B${b}`);
      expect(own.filter((trial) => trial.neighbour === null).length).toBe(1);
      expect(own.filter((trial) => trial.target === null).map((trial) => trial.neighbour)).toEqual([
        "a",
        "b",
      ]);
    }
  });

  test("without noise gives back the q of the working form to what rounding to the display allows", () => {
    const garden = simulatedGarden([{ name: "a", qCm2: 60 }], { seed: 2, form: "working", noise: quiet });
    const [curve] = fitDragCurves(driftOfTrials(garden));
    // Half a reading unit of 430 is 0.5 / 430 / 0.25 * s = 0.2 cm2 at the steepest, a twentieth of it on the mean of many.
    expect(Math.abs(curve!.fit!.qCm2 - 60)).toBeLessThan(0.2);
    expect(curve!.fit!.sCm2 / workingSlope(60, 130)).toBeCloseTo(1, 1);
  });

  test("the working slope is the closed form's at one half", () => {
    for (const degrees of [60, 130, 160]) {
      const at = (x2: number) => closedFormDrag(2 ** (-x2 / 60), degrees);
      // A logistic curve falls by 1 / (4 s) at one half.
      expect((at(-0.01) - at(0.01)) / 0.02).toBeCloseTo(1 / (4 * workingSlope(60, degrees)), 6);
    }
  });

  test("is the same for one seed and replicate, and another for another", () => {
    const make = (replicate: number) => simulatedGarden([{ name: "a", qCm2: 60 }], { seed: 2, replicate });
    expect(make(0)).toEqual(make(0));
    expect(make(1)).not.toEqual(make(0));
  });

  test("refuses a block that has no room beside its controls", () => {
    expect(() => simulatedGarden([{ name: "a", qCm2: 1 }], { seed: 1, trialsPerBlock: 2 })).toThrow(
      new RangeError("Cannot simulate a garden: a block needs more than its 2 controls, got 2 trials"),
    );
  });
});
