import { describe, expect, test } from "vitest";
import { loadGardenLog } from "../../lib/log/mod.ts";
import { faultOf, file, machines, oneMachine } from "./_helpers.ts";

const HEAD = "trial_id,block,settings,target,neighbour,gap_cm,readings_right,readings_left";

describe("loadGardenLog()", () => {
  test("reads trials, controls and planned rows", async () => {
    const { garden, report } = await loadGardenLog(
      file([
        `${HEAD},tried_at,height_difference_cm,clean_readings`,
        "1,b1,a-quiet,copper disc,long nail,4,380 390,350 x,2024-05-01T10:00,,410",
        "2,b1,a-quiet,copper disc,none,,410,409,2024-05-01,,",
        "3,b1,a-quiet,,long nail,,90,95,10:30,,",
        "4,b1,a-quiet,copper disc,long nail,2,,,,,",
      ].join("\n")),
      machines,
    );
    expect(report.accounts).toEqual([{
      role: "garden-log",
      file: "log.csv",
      rows: 4,
      accepted: 3,
      rejected: 0,
      blank: 0,
      planned: 1,
    }]);
    expect(garden.trials.map((trial) => [trial.target, trial.neighbour, trial.gap_cm, trial.date])).toEqual([
      ["copper disc", "long nail", 4, "2024-05-01"],
      ["copper disc", null, null, "2024-05-01"],
      [null, "long nail", null, null],
    ]);
    expect(garden.trials[0]).toMatchObject({
      machine: "Machine A",
      discrimination: "iron-silenced",
      clean: { readings: [410] },
      left: { silent: 1 },
    });
  });

  test("without a block each trial is its own block, and the report says what that hides", async () => {
    const { garden, report } = await loadGardenLog(
      file(
        "trial_id,target,neighbour,gap_cm,readings_right,readings_left\n1,disc,nail,4,5,5\n2,disc,nail,2,5,5\n",
      ),
      oneMachine,
    );
    expect(garden.trials.map((trial) => trial.block)).toEqual(["trial 1", "trial 2"]);
    expect(report.assumptions.find((each) => each.text.includes("block of its own"))?.count).toBe(2);
  });

  test("flags a neighbour at no distance", async () => {
    const { report } = await loadGardenLog(file(`${HEAD}\n1,b,a-quiet,disc,nail,,5,5\n`), machines);
    expect(report.flags.map((each) => each.column)).toEqual(["gap_cm", "target", "neighbour"]);
  });

  test("rejects readings off the scale and unknown words, and refuses a log of plans", async () => {
    const { report } = await loadGardenLog(
      file(
        `${HEAD},side\n1,b,a-quiet,disc,nail,1,5,5,left\n2,b,a-quiet,disc,nail,1,5,5,lft\n3,b,b-open,disc,nail,1,205,5,left\n4,b,b-open,disc,nail,1,200,5,left\n`,
      ),
      machines,
    );
    expect(report.rejected.map((row) => [row.line, row.faults[0]?.column, row.faults[0]?.nearest])).toEqual([[
      3,
      "side",
      "left",
    ], [4, "readings_right", null]]);
    expect(
      (await faultOf(() => loadGardenLog(file(`${HEAD}\n1,b,a-quiet,disc,nail,1,,\n`), machines))).message,
    ).toContain("0 rejected, 0 blank, 1 planned");
  });

  test("names a missing column and an unknown settings set", async () => {
    expect(
      (await faultOf(() =>
        loadGardenLog(
          file("trial_id,target,neighbor,gap_cm,readings_right,readings_left\n1,a,b,1,2,3\n"),
          oneMachine,
        )
      )).message,
    ).toContain(
      'the column neighbour is needed, got none; nearest is "neighbor"',
    );
    expect(
      (await faultOf(() => loadGardenLog(file(`${HEAD}\n1,b,loud,disc,nail,1,5,5\n`), machines))).message,
    ).toContain('got "loud" on line 2');
  });
});
