import { describe, expect, test } from "vitest";
import { tonesGardenSounds } from "../../lib/figures/tones_garden_sounds.ts";
import type { GardenSounds } from "../../lib/tones/mod.ts";
import { machineA, passes, trial } from "../tones/_log_rows.ts";
import { soundsIn } from "./_sounds_in.ts";

const of = { machine: "Machine A", discrimination: "none" };

describe("tonesGardenSounds()", () => {
  const example: GardenSounds = {
    of,
    machine: machineA,
    target: "disc",
    neighbour: "nail",
    gapCm: 3.5,
    sounds: [
      { laid: "both together", trial: trial("3", { right: passes(250) }) },
      { laid: "target alone", trial: trial("1", { right: passes(500) }) },
      { laid: "neighbour alone", trial: trial("2", { right: passes(90) }) },
    ],
  };
  test("plays the three in the order given and folds away which was which", () => {
    const shown = tonesGardenSounds(example);
    expect(soundsIn(shown.html)).toHaveLength(3);
    const open = shown.html.replace(/<details.*?<\/details>/gs, "");
    expect(open.match(/In words: [^<]*/g)).toEqual(
      ["right low", "right high", "right iron"].map((words) => `In words: ${words}.`),
    );
    expect(open).not.toMatch(/target alone|both together/);
    expect(shown.text).toContain(
      "A: both together; B: target alone; C: neighbour alone. Together they lay 3.5\u00a0cm apart.",
    );
    expect(tonesGardenSounds(example).html).toBe(shown.html);
  });
});
