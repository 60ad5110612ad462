// How long a person swept a signal is a choice: a feature that grows with the passes would learn the choice. Virtual signals of known make, each swept
// with 1, 2, 4 and 8 passes to the right, to the left and across (2 to 16 passes in all), every sweep drawn anew.
import { describe, expect, test } from "vitest";
import { signalTables } from "../../lib/model/season_tables.ts";
import { chance, mean, standardDeviation } from "../../lib/numbers/mod.ts";
import { sweepFeatures } from "../../lib/sweep/mod.ts";
import {
  drawScene,
  kindWeights,
  pickWeighted,
  SCENE_KINDS,
  sceneReader,
} from "../../lib/virtual/_season_scene.ts";
import { fieldTables, VIRTUAL_MACHINES } from "../../lib/virtual/mod.ts";
import { idOf, madeSignal, passesOf } from "./_season.ts";

const virtual = VIRTUAL_MACHINES[0]!, { machine } = virtual;
const EACH_WAY = [1, 2, 4, 8];
const SCENES = 2000;

const tables = fieldTables(virtual.coil), weights = kindWeights({ iron: 0.6 });
const signals = Array.from({ length: SCENES }, (_, i) => {
  const draw = chance(5, "tests/passes", i);
  const scene = drawScene(draw, SCENE_KINDS[pickWeighted(draw, weights)]!, virtual.frequencyHz);
  const reader = sceneReader(scene, virtual, 0, tables);
  return EACH_WAY.map((passes, k) => {
    const sweep = (direction: 1 | -1, turned = false) => {
      const all = Array.from({ length: passes }, () => reader.pass(draw, direction, turned));
      const given = all.filter((reading) => reading !== null);
      return passesOf(given, passes - given.length);
    };
    const id = idOf("s", i * EACH_WAY.length + k);
    return madeSignal({ signal_id: id, right: sweep(1), left: sweep(-1), cross: sweep(1, true) });
  });
}).flat();
const { x } = signalTables({ machines: [machine], settings: [], signals })[0]!;

/** By how much the mean of a feature with so many passes lies above that with eight each way, in standard errors over scenes. */
function movedBy(column: ArrayLike<number>): { readonly means: number[]; readonly moved: number[] } {
  const scenes = Array.from(
    { length: SCENES },
    (_, i) => EACH_WAY.map((_, k) => column[i * EACH_WAY.length + k]!),
  )
    .filter((each) => !each.some(Number.isNaN));
  expect(scenes.length).toBeGreaterThan(0.9 * SCENES);
  return {
    means: EACH_WAY.map((_, k) => mean(scenes.map((each) => each[k]!))),
    moved: EACH_WAY.slice(0, -1).map((_, k) => {
      const differences = scenes.map((each) => each[k]! - each.at(-1)!);
      return mean(differences) / (standardDeviation(differences) / Math.sqrt(scenes.length));
    }),
  };
}

describe.each(["asymmetry", "turnChange"] as const)("the feature %s", (name) => {
  test("has one mean, however many passes were made", () => {
    const { means, moved } = movedBy(x.columns[x.names.indexOf(name)]!);
    // Three comparisons of either feature: chance puts one beyond 3 standard errors in about 60 seeds. Nor is the mean nought, which would tell nothing.
    for (const each of moved) expect(Math.abs(each)).toBeLessThan(3);
    for (const each of means) expect(each).toBeGreaterThan(1);
  });
  test("once was a number of standard errors, and grew", () => {
    const { means, moved } = movedBy(signals.map((signal) => {
      const found = sweepFeatures(signal, { machine, repeatNoise: 6 })[name];
      return "value" in found ? Math.abs(found.value) / found.standardError! : NaN;
    }));
    for (const each of moved) expect(each).toBeLessThan(-3);
    expect(means.at(-1)!).toBeGreaterThan(1.25 * means[1]!);
  });
});
