import { expect, test } from "vitest";
import { sweepCentre, sweepFeatures } from "../../lib/sweep/mod.ts";
import { machine, passes } from "./_passes.ts";

test("sweepCentre() gives the centre that sweepFeatures() gives among the rest", () => {
  const records = [
    { right: passes([300, 304]), left: passes([290, 294]), cross: passes([280]) },
    { right: passes([300]), left: null, cross: null },
    { right: passes([]), left: passes([]), cross: null },
    { right: null, left: null, cross: passes([280]) },
  ];
  for (const record of records) {
    for (const options of [{ machine }, { machine, repeatNoise: 3 }]) {
      expect(sweepCentre(record, options)).toEqual(sweepFeatures(record, options).centre);
    }
  }
  expect(() => sweepCentre(records[0]!, { machine, repeatNoise: -1 })).toThrow(
    "repeatNoise must be 0 or above",
  );
});
