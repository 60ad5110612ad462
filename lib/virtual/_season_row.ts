import type { Chance } from "../numbers/chance.ts";
import { median } from "../numbers/median.ts";
import type { FieldTables } from "./field_tables.ts";
import { layObject } from "./lay_object.ts";
import { type LogRow, readingsCell } from "./_log_row.ts";
import { passReader } from "./pass_reader.ts";
import { pickWeighted, sceneReader, type SeasonScene, type VirtualSite } from "./_season_scene.ts";
import type { VirtualMachine } from "./virtual_machine.ts";
import { isIron, VIRTUAL_OBJECTS, virtualResponse } from "./virtual_object.ts";

/** Finds of one hole that a row can hold. */
export const FINDS_PER_ROW = 3;

/** Who holds the machine: how depth is written, and how surely iron is called. */
export interface VirtualObserver {
  readonly observer: string;
  readonly depthInWords: boolean;
}

/** The rule by which the virtual person digs, in words. */
export const VIRTUAL_DIG_RULE =
  "Dig chance 0.92 where fewer than one reading in five lies below the iron break, 0.85 where fewer than four in five do, 0.65 otherwise; 0.4 where only one direction gave a number.";

const word = <T>(draw: Chance, choices: readonly (readonly [T, number])[]): T =>
  choices[pickWeighted(draw, choices.map(([, weight]) => weight))]![0];

const gauges = new Map<VirtualMachine, readonly number[]>();
/** The depth that a machine shows: that at which the copper disc would be as loud, in whole 2 cm. */
function depthShown(machine: VirtualMachine, loudness: number): number {
  let gauge = gauges.get(machine);
  if (!gauge) {
    const response = virtualResponse(VIRTUAL_OBJECTS.disc, machine.frequencyHz);
    gauge = Array.from(
      { length: 15 },
      (_, i) => passReader([layObject(response, { depthCm: 2 * (i + 1) })], machine).loudness(),
    );
    gauges.set(machine, gauge);
  }
  const at = gauge.findIndex((loud) => loud < loudness);
  return at < 0 ? 30 : Math.max(2, 2 * at);
}

/** The passes heard before the dig. */
export interface Heard {
  readonly right: readonly (number | null)[];
  readonly left: readonly (number | null)[];
}

export interface SeasonRowInput {
  readonly draw: Chance;
  readonly scene: SeasonScene;
  readonly site: VirtualSite;
  readonly machine: VirtualMachine;
  readonly observer: VirtualObserver;
  readonly tables: FieldTables;
}

/** Reads a scene and writes its row, without ids and date. Null where nothing was heard: nobody writes down silence. */
export function seasonRow(input: SeasonRowInput): { row: LogRow; heard: Heard; digChance: number } | null {
  const { draw, scene, site, machine, observer, tables } = input;
  const reader = sceneReader(scene, machine, site.mineral, tables);
  const passes = 3 + draw.integer(4);
  const read = (count: number, direction: 1 | -1, turned = false) =>
    Array.from({ length: count }, () => reader.pass(draw, direction, turned));
  const right = read(passes, 1), left = read(passes - draw.integer(2), -1);
  const given = [...right, ...left].filter((pass) => pass !== null);
  if (given.length === 0) return null;
  const cross = draw.next() < 0.55 ? read(2 + draw.integer(2), 1, true) : null;
  const crossGiven = cross?.filter((pass) => pass !== null) ?? [];
  const usual = median(given), { scale, iron_break: ironBreak, tones } = machine.machine;
  const share = given.filter((reading) => reading < ironBreak).length / given.length;
  const bothWays = right.some((pass) => pass !== null) && left.some((pass) => pass !== null);
  const shown = depthShown(machine, reader.loudness() * Math.exp(0.15 * draw.normal()));
  const digChance = !bothWays ? 0.4 : share < 0.2 ? 0.92 : share < 0.8 ? 0.85 : 0.65;
  const near = scene.laid.length > 1;
  const row: Record<string, string> = {
    site: site.site,
    settings: machine.settings.settings,
    observer: observer.observer,
    readings_right: readingsCell(right),
    readings_left: readingsCell(left),
    readings_cross: cross ? readingsCell(cross) : "",
    both_ways: draw.next() < 0.1 ? "not-tried" : bothWays ? "yes" : "no",
    after_turn: cross === null
      ? "not-tried"
      : crossGiven.length === 0
      ? "gone"
      : Math.abs(median(crossGiven) - usual) > (scale.high - scale.low) / 15
      ? "changes"
      : "holds",
    spot_moves: draw.next() < 0.3 ? "not-tried" : draw.next() < (near ? 0.55 : 0.12) ? "yes" : "no",
    iron_near: draw.next() < 0.15
      ? "not-looked"
      : word(draw, [["none", 1 - site.iron], ["some", 0.5], ["full", site.iron]]),
    tone_heard: tones.bands[tones.breaks.filter((edge) => edge <= usual).length]!.name,
    depth_indicated: observer.depthInWords
      ? (shown < 7 ? "shallow" : shown < 13 ? "middle" : "deep")
      : String(shown),
    my_call: draw.next() < 0.12 ? "cannot-say" : share + 0.2 * draw.normal() < 0.45 ? "good" : "iron",
  };
  const heard = { right, left };
  if (draw.next() >= digChance) return { row: { ...row, dug: "no" }, heard, digChance };
  return { row: { ...row, ...holeOf(input) }, heard, digChance };
}

/** What came out of the hole. */
function holeOf({ draw, scene, site, machine, tables }: SeasonRowInput): LogRow {
  const depth = Math.round(scene.depthCm);
  if (scene.kind === "hazard") {
    return {
      dug: "yes",
      result: "found",
      iron_evidence: "none",
      after_dig: "still-sounds",
      what: "old unfired cartridge, left where it lay and reported",
      metal: "not-sure",
      keep: "hazard",
      depth_cm: String(depth),
    };
  }
  if (draw.next() < 0.035) {
    return {
      dug: "stopped",
      stopped_why: word(draw, [["roots", 3], ["depth", 3], ["stones", 1], ["water", 2], ["time", 2]]),
    };
  }
  if (draw.next() < 0.045) {
    return {
      dug: "yes",
      result: "nothing-found",
      iron_evidence: "none",
      after_dig: word(draw, [["quiet", 1], ["still-sounds", 2]]),
    };
  }
  if (draw.next() < 0.025) {
    return {
      dug: "yes",
      result: "not-identified",
      iron_evidence: "not-looked",
      what: "crumb of something",
      metal: "not-sure",
      keep: "no",
    };
  }
  const row: Record<string, string> = {
    dug: "yes",
    result: "found",
    after_dig: word(draw, [["quiet", 5], ["still-sounds", site.iron]]),
    iron_evidence: scene.kind === "masked good"
      ? word(draw, [["touching", 4], ["in-plug", 5], ["in-hole", 1], ["not-looked", 1]])
      : scene.laid.every(({ object }) => isIron(object))
      ? word(draw, [["in-hole", 4], ["in-plug", 3], ["stain", 1]])
      : word(draw, [["none", 6], ["stain", 0.5 * site.iron], ["in-hole", site.iron], ["not-looked", 2]]),
  };
  scene.laid.slice(0, FINDS_PER_ROW).forEach(({ object, buried, keep }, i) => {
    const tag = i === 0 ? "" : `_${i + 1}`;
    row[`what${tag}`] = object.what;
    row[`metal${tag}`] = draw.next() < 0.02 ? "not-sure" : isIron(object) ? "ferrous" : "non-ferrous";
    row[`keep${tag}`] = keep ? "yes" : "no";
    row[`depth_cm${tag}`] = String(Math.max(1, Math.round(buried.depthCm + draw.normal())));
    if (keep && draw.next() < 0.6) {
      const alone = passReader([{ ...buried, xCm: 0, yCm: 0, depthCm: 4 }], machine, { tables });
      row[`readings_alone${tag}`] = readingsCell(
        Array.from({ length: 4 }, (_, k) => alone.pass(draw, k % 2 ? -1 : 1)),
      );
    }
  });
  return row;
}
