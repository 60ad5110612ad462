import { describe, expect, test } from "vitest";
import { gardenSounds } from "../../lib/tones/garden_sounds.ts";
import { deepFreeze, machineA, machineB, passes, trial } from "./_log_rows.ts";

const block = (name: string, together = 250, gap = 3) => [
  trial(`${name}t`, { block: name, target: "disc", right: passes(450, 452) }),
  trial(`${name}n`, { block: name, neighbour: "nail", right: passes(90) }),
  trial(`${name}b`, { block: name, target: "disc", neighbour: "nail", gap_cm: gap, right: passes(together) }),
];
const garden = (trials: ReturnType<typeof trial>[]) =>
  deepFreeze({ machines: [machineA, machineB], settings: [], trials });
const first = (trials: ReturnType<typeof trial>[], seed = 1) => gardenSounds(garden(trials), { seed })[0]!;

describe("gardenSounds()", () => {
  test("gives target alone, neighbour alone and both of one block, in an order drawn from the seed", () => {
    const orders = new Set<string>();
    for (let seed = 1; seed <= 40; seed++) {
      const found = first([...block("B1"), ...block("B2")], seed);
      if ("absent" in found) throw new Error(found.reason);
      expect(new Set(found.sounds.map((one) => one.trial.block)).size).toBe(1);
      expect([...found.sounds.map(({ laid }) => laid)].sort()).toEqual([
        "both together",
        "neighbour alone",
        "target alone",
      ]);
      expect(found).toMatchObject({ target: "disc", neighbour: "nail", gapCm: 3, machine: machineA });
      orders.add(found.sounds.map(({ laid }) => laid[0]).join(""));
    }
    expect(orders.size).toBe(6);
  });
  test("gives the same for the same seed", () => {
    const trials = [...block("B1"), ...block("B2"), ...block("B3")];
    expect(first(trials, 7)).toEqual(first(trials, 7));
  });
  test("takes a trial that falls into a lower band before one that only reads lower", () => {
    for (let seed = 1; seed <= 10; seed++) {
      const found = first([...block("B1", 440), ...block("B2", 300)], seed);
      expect("sounds" in found && found.sounds[0]!.trial.block).toBe("B2");
    }
    expect("sounds" in first(block("B1", 440))).toBe(true);
  });
  test("says when no block has an example: gap too wide, reading not lowered, a control missing, nothing sounding", () => {
    const silent = block("B1").map((one) => ({ ...one, right: passes("x", "x") }));
    for (
      const trials of [
        block("B1", 250, 9),
        block("B1", 460),
        block("B1").slice(1),
        block("B1").slice(0, 1),
        silent,
      ]
    ) {
      expect(first(trials)).toMatchObject({
        absent: "no example",
        reason: "No block of Machine A holds a lowered target with both its controls at a gap up to 4 cm",
        n: { trials: trials.length },
      });
    }
  });
  test("keeps machines apart", () => {
    const other = block("C1").map((one) => ({ ...one, machine: "Machine B", right: passes(-100) }));
    expect(gardenSounds(garden([...block("B1"), ...other])).map((one) => "absent" in one)).toEqual([
      false,
      true,
    ]);
  });
  test("refuses a gap below 0 and a machine nobody stated", () => {
    expect(() => gardenSounds(garden([]), { widestGapCm: -1 })).toThrow(
      new RangeError("Cannot pick sounds: widestGapCm must be 0 or above, got -1"),
    );
    expect(() => gardenSounds(garden([trial("1", { machine: "Machine C" })]))).toThrow(
      new RangeError('Cannot give bands: machine must be in the machines list, got "Machine C"'),
    );
  });
});
