import { describe, expect, test } from "vitest";
import type { Trial } from "../../lib/log/mod.ts";
import { bandsDropped } from "../../lib/tones/bands_dropped.ts";
import { deepFreeze, machineA, passes, trial } from "./_log_rows.ts";

const garden = (rows: Trial[]) => deepFreeze({ machines: [machineA], settings: [], trials: rows });
const clean = (block: string, reading: number | "x" = 500) =>
  trial(`c${block}`, { block, target: "disc", right: passes(reading) });
const beside = (id: string, block: string, gap_cm: number, ...readings: (number | "x")[]) =>
  trial(id, { block, target: "disc", neighbour: "nail", gap_cm, right: passes(...readings) });

describe("bandsDropped()", () => {
  test("counts bands from the clean band to the band together, by gap", () => {
    const rows = bandsDropped(garden([
      clean("1"),
      beside("a", "1", 1, 100), // 3
      beside("b", "1", 1, 330), // 1
      beside("c", "1", 1, "x"),
      clean("2", 300),
      beside("d", "2", 1, 500), // a rise: -2
      beside("e", "2", 5, 300), // 0
    ]));
    expect(rows.map(({ of }) => of.gap)).toEqual(["under 2 cm", "4 to under 8 cm"]);
    const near = rows[0]!;
    expect(near.bands).toMatchObject({ value: 2 / 3, n: { trials: 3, blocks: 2 } });
    expect(near.atLeastOne).toMatchObject({ value: 3 / 4, n: { trials: 4, blocks: 2 } });
    expect(near.intoLowest).toMatchObject({ value: 2 / 4 });
    expect(near.counts).toEqual([
      { dropped: -2, trials: 1 },
      { dropped: 1, trials: 1 },
      { dropped: 3, trials: 1 },
      { dropped: "silent", trials: 1 },
    ]);
  });
  test("does not claim certainty where no trial moved", () => {
    const [row] = bandsDropped(
      garden([clean("1"), beside("a", "1", 9, 500), clean("2"), beside("b", "2", 9, 500)]),
    );
    // Wilson's upper limit of 0 in 2: z^2 / (2 + z^2) with z = 1.959964 is 0.657620 (Wilson 1927).
    expect(row!.bands).toMatchObject({
      value: 0,
      interval: {
        method: "Wilson's limit of trials a band off, taken as independent (2 blocks only)",
      },
    });
    if (!("value" in row!.bands)) throw new Error("absent");
    expect(row!.bands.interval.high).toBeCloseTo(0.65762, 5);
    expect(row!.bands.interval.low).toBeCloseTo(-0.65762, 5);
    expect(row!.atLeastOne).toMatchObject({ value: 0 });
  });
  test("leaves out targets that are silent alone, and says when nothing is left to fall", () => {
    expect(bandsDropped(garden([clean("1", "x"), beside("a", "1", 1, 100)]))).toEqual([]);
    const [row] = bandsDropped(garden([clean("1", 100), beside("a", "1", 1, 90)]));
    expect(row!.intoLowest).toMatchObject({
      absent: "no trials",
      reason: "A share of no trials does not exist",
    });
  });
});
