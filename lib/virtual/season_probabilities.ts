import { chance } from "../numbers/chance.ts";
import { type Absent, absent } from "../numbers/estimate.ts";
import { normalProbability } from "../numbers/mod.ts";
import { fieldTables } from "./field_tables.ts";
import { classOfScene, drawScene, kindWeights, SCENE_KINDS, sceneReader } from "./_season_scene.ts";
import type { PassPart } from "./pass_reader.ts";
import type { VirtualMachine } from "./virtual_machine.ts";
import type { SignalTruth } from "./virtual_season.ts";

/** The most signals that probabilities are simulated for. */
export const MOST_SIGNALS_WITH_PROBABILITIES = 20_000;

const CLASSES = ["ferrous", "non-ferrous", "masked-good"] as const;
/** Simulated scenes of each kind, in the order of SCENE_KINDS; a hazard has no class. */
const SCENES = [3000, 800, 1500, 1000, 8000, 0];
/** At most this many bins of the scale; a bin is a whole number of display steps. */
const MOST_BINS = 160;
/** Chance of a pass that fits nothing, spread evenly, so that no scene is ever impossible. */
const FLOOR = 1e-4;

export interface SeasonProbabilitiesOptions {
  /** Seed of the simulation; it should differ from the season's. Default 1. */
  readonly seed?: number;
}

/** The true class probabilities of one signal given its readings, its machine and its site. */
export interface SignalProbabilities {
  readonly signalId: string;
  readonly ferrous: number;
  readonly nonFerrous: number;
  readonly maskedGood: number;
  /** Simulated scenes that carry the weight (Kish): few of them make an uncertain number. */
  readonly effectiveScenes: number;
}

interface Pool {
  readonly bins: number;
  readonly kinds: Uint8Array;
  readonly classes: Uint8Array;
  /** Log probability of each bin, a scene and direction after another; the last bin is silence. */
  readonly logs: Float32Array;
}

function binsOf(machine: VirtualMachine): { bins: number; perBin: number; values: number } {
  const { low, high, step } = machine.machine.scale;
  const values = Math.round((high - low) / step) + 1, perBin = Math.ceil(values / MOST_BINS);
  return { bins: Math.ceil(values / perBin), perBin, values };
}

function binOf(reading: number | null, machine: VirtualMachine): number {
  const { bins, perBin } = binsOf(machine);
  if (reading === null) return bins;
  return Math.floor(Math.round((reading - machine.machine.scale.low) / machine.machine.scale.step) / perBin);
}

let normalTable: Float64Array | undefined;
/** Normal probability by a straight line between entries 0.001 apart: off by less than 1e-7. */
function quickNormal(z: number): number {
  normalTable ??= Float64Array.from({ length: 12_002 }, (_, i) => normalProbability((i - 6000) / 1000));
  if (z >= 6) return 1;
  if (z <= -6) return 0;
  const at = (z + 6) * 1000, cell = at | 0;
  return normalTable[cell]! + (at - cell) * (normalTable[cell + 1]! - normalTable[cell]!);
}

/** Adds the chance of each bin for passes of one kind: a normal phase, its tails at the ends of the scale. */
function addPart(chances: Float64Array, part: PassPart, machine: VirtualMachine): void {
  const { bins, perBin, values } = binsOf(machine);
  const turn = ((part.lagDeg % 360) + 360) % 360, lag = turn >= 270 ? turn - 360 : turn;
  const degreesPerValue = 180 / (values - 1), heard = part.weight * (1 - part.silent);
  chances[bins]! += part.weight * part.silent;
  let below = 0;
  for (let bin = 0; bin < bins; bin++) {
    const edge = ((bin + 1) * perBin - 0.5) * degreesPerValue;
    const z = (edge - lag) / part.spreadDeg;
    const upTo = bin === bins - 1 ? 1 : quickNormal(z);
    chances[bin]! += heard * (upTo - below);
    below = upTo;
  }
}

function simulate(machine: VirtualMachine, mineral: number, seed: number): Pool {
  const { bins } = binsOf(machine);
  const total = SCENES.reduce((sum, n) => sum + n, 0), wide = bins + 1;
  const kinds = new Uint8Array(total),
    classes = new Uint8Array(total),
    logs = new Float32Array(total * 2 * wide);
  const tables = fieldTables(machine.coil);
  const firstHeard = machine.settings.discrimination === "iron-silenced"
    ? binOf(machine.machine.iron_break, machine)
    : 0;
  let scene = 0;
  SCENES.forEach((count, kind) => {
    for (let i = 0; i < count; i++, scene++) {
      const draw = chance(seed, `virtual/probabilities/${machine.settings.settings}/${mineral}`, scene);
      const drawn = drawScene(draw, SCENE_KINDS[kind]!, machine.frequencyHz);
      const reader = sceneReader(drawn, machine, mineral, tables);
      kinds[scene] = kind;
      classes[scene] = CLASSES.indexOf(classOfScene(drawn)!);
      for (const direction of [0, 1]) {
        const chances = new Float64Array(wide);
        for (const part of reader.parts(direction === 0 ? 1 : -1)) addPart(chances, part, machine);
        for (let bin = 0; bin < firstHeard; bin++) {
          chances[bins]! += chances[bin]!;
          chances[bin] = 0;
        }
        const start = (scene * 2 + direction) * wide;
        for (let bin = 0; bin < wide; bin++) {
          logs[start + bin] = Math.log((1 - FLOOR) * chances[bin]! + FLOOR / wide);
        }
      }
    }
  });
  return { bins, kinds, classes, logs };
}

/**
 * Gives the true probabilities of the three classes of each signal, given its readings in both directions, its machine, and its site's iron and minerals: by
 * simulation (Bayes's rule over scenes drawn as the season draws them; passes are independent given the scene, their spread worked out from the machine's noise;
 * readings in at most 160 bins of the scale).
 *
 * Cross passes, depth and everything else a row holds are not used. Hazards have no class and get probabilities given that they were none. Above
 * 20,000 signals it is absent, with the reason.
 *
 * @example
 * ```ts
 * import { seasonProbabilities, virtualSeason } from "overiron";
 * const truths = [...virtualSeason({ signals: 3, seed: 4 })].map(({ truth }) => truth);
 * const known = seasonProbabilities(truths, { seed: 5 });
 * if ("absent" in known) throw new Error(known.reason);
 * const sum = known[0]!.ferrous + known[0]!.nonFerrous + known[0]!.maskedGood;
 * if (Math.abs(sum - 1) > 1e-9) throw new Error("wrong");
 * ```
 */
export function seasonProbabilities(
  truths: readonly SignalTruth[],
  options: SeasonProbabilitiesOptions = {},
): readonly SignalProbabilities[] | Absent {
  const { seed = 1 } = options;
  if (truths.length > MOST_SIGNALS_WITH_PROBABILITIES) {
    return absent(
      "too many",
      `Probabilities are simulated for at most ${MOST_SIGNALS_WITH_PROBABILITIES} signals`,
      { signals: truths.length },
    );
  }
  const pools = new Map<string, Pool>();
  return truths.map(({ signalId, site, machine, heard }) => {
    const key = JSON.stringify([machine.settings.settings, site.mineral]);
    let pool = pools.get(key);
    if (!pool) pools.set(key, pool = simulate(machine, site.mineral, seed));
    const wide = pool.bins + 1;
    const weights = kindWeights(site).map((weight, kind) =>
      SCENES[kind]! > 0 ? Math.log(weight / SCENES[kind]!) : -Infinity
    );
    const right = heard.right.map((reading) => binOf(reading, machine));
    const left = heard.left.map((reading) => wide + binOf(reading, machine));
    const all = [...right, ...left], count = pool.kinds.length, scores = new Float64Array(count);
    let best = -Infinity;
    for (let scene = 0; scene < count; scene++) {
      let score = weights[pool.kinds[scene]!]!;
      const start = scene * 2 * wide;
      for (const place of all) score += pool.logs[start + place]!;
      scores[scene] = score;
      if (score > best) best = score;
    }
    const shares = [0, 0, 0];
    let sum = 0, squares = 0;
    for (let scene = 0; scene < count; scene++) {
      const weight = Math.exp(scores[scene]! - best);
      sum += weight;
      squares += weight * weight;
      shares[pool.classes[scene]!]! += weight;
    }
    return {
      signalId,
      ferrous: shares[0]! / sum,
      nonFerrous: shares[1]! / sum,
      maskedGood: shares[2]! / sum,
      effectiveScenes: sum * sum / squares,
    };
  });
}
