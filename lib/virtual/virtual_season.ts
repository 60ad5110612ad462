import { chance } from "../numbers/chance.ts";
import { dayAfter } from "./_civil_date.ts";
import { type FieldTables, fieldTables } from "./field_tables.ts";
import type { LogRow } from "./_log_row.ts";
import { FINDS_PER_ROW, type Heard, seasonRow, type VirtualObserver } from "./_season_row.ts";
import {
  classOfScene,
  drawScene,
  groundLagDeg,
  kindWeights,
  pickWeighted,
  SCENE_KINDS,
  type SceneKind,
  type VirtualSite,
} from "./_season_scene.ts";
import { VIRTUAL_MACHINES, type VirtualMachine } from "./virtual_machine.ts";

export type { SceneKind, VirtualSite } from "./_season_scene.ts";
export { VIRTUAL_DIG_RULE, type VirtualObserver } from "./_season_row.ts";

/** The sites of the demo season: all invented. */
export const VIRTUAL_SITES: readonly VirtualSite[] = [
  { site: "Lower ferry landing", iron: 0.75, mineral: 0 },
  { site: "Upper ferry landing", iron: 0.55, mineral: 0 },
  { site: "Drovers' stance", iron: 0.35, mineral: 1 },
  { site: "Brickyard bank", iron: 0.85, mineral: 1 },
  { site: "Kiln close", iron: 0.7, mineral: 1 },
  { site: "Osier strip", iron: 0.2, mineral: 0 },
  { site: "Toll cottage field", iron: 0.5, mineral: 0 },
  { site: "Hay wharf", iron: 0.6, mineral: 0 },
  { site: "Sheepwash meadow", iron: 0.25, mineral: 1 },
];

const OBSERVERS: readonly VirtualObserver[] = [
  { observer: "Ines", depthInWords: false },
  { observer: "Bram", depthInWords: true },
  { observer: "Ines", depthInWords: false },
];

/** The fields of a virtual season's row, in the order of a flat dig log. */
export const VIRTUAL_SEASON_FIELDS: readonly string[] = [
  "signal_id",
  "outing_id",
  "date",
  "site",
  "settings",
  "observer",
  "readings_right",
  "readings_left",
  "readings_cross",
  "both_ways",
  "after_turn",
  "spot_moves",
  "iron_near",
  "tone_heard",
  "depth_indicated",
  "my_call",
  "dug",
  "stopped_why",
  "result",
  "iron_evidence",
  "after_dig",
  ...Array.from(
    { length: FINDS_PER_ROW },
    (_, i) =>
      ["what", "metal", "keep", "depth_cm", "readings_alone"].map((field) => i ? `${field}_${i + 1}` : field),
  ).flat(),
  "notes",
];

/** What is so under one signal. */
export interface SignalTruth {
  readonly signalId: string;
  readonly kind: SceneKind;
  /** The class that full knowledge gives; null for a hazard. */
  readonly class: "ferrous" | "non-ferrous" | "masked-good" | null;
  readonly depthCm: number;
  readonly groundLagDeg: number;
  readonly digChance: number;
  readonly site: VirtualSite;
  readonly machine: VirtualMachine;
  readonly heard: Heard;
}

export interface VirtualSeasonOptions {
  /** From 1 to 1,000,000. Default 460. */
  readonly signals?: number;
  /** Seed of everything. Default 1. */
  readonly seed?: number;
  /** Default `VIRTUAL_SITES`. */
  readonly sites?: readonly VirtualSite[];
  /** The first is used most; default `VIRTUAL_MACHINES`. */
  readonly machines?: readonly VirtualMachine[];
  /** Signals of one outing. Default 20. */
  readonly perOuting?: number;
  /** Day of the first outing. Default "2025-03-08". */
  readonly from?: string;
}

/**
 * Makes a season made of physics, a signal at a time: the row of a flat dig log (cells as text) and what is so.
 *
 * Each outing is on one site with one machine; kinds of scene come by the site's iron. A signal with no number in either direction is not written down: another
 * is drawn. The person digs by `VIRTUAL_DIG_RULE`. Limits: `VIRTUAL_LIMITS`. Mineral sites lower what lies deeper than 10 cm by a stated 1.5 degrees a
 * centimetre, so that not all lowering is masking.
 *
 * Throws RangeError for a number of signals outside 1 to 1,000,000, no site or machine, or iron and mineral outside 0 to 1.
 *
 * @example
 * ```ts
 * import { virtualSeason } from "overiron";
 * const season = [...virtualSeason({ signals: 50, seed: 2 })];
 * if (season.length !== 50 || !season[0]!.row.readings_right) throw new Error("wrong");
 * ```
 */
export function* virtualSeason(
  options: VirtualSeasonOptions = {},
): Generator<{ readonly row: LogRow; readonly truth: SignalTruth }> {
  const {
    signals = 460,
    seed = 1,
    sites = VIRTUAL_SITES,
    machines = VIRTUAL_MACHINES,
    perOuting = 20,
    from = "2025-03-08",
  } = options;
  if (!Number.isSafeInteger(signals) || signals < 1 || signals > 1_000_000) {
    throw new RangeError(
      `Cannot make a season: signals must be a whole number from 1 to 1000000, got ${signals}`,
    );
  }
  if (!Number.isSafeInteger(perOuting) || perOuting < 1) {
    throw new RangeError(
      `Cannot make a season: perOuting must be a whole number of 1 or above, got ${perOuting}`,
    );
  }
  if (sites.length === 0) throw new RangeError("Cannot make a season: need a site, got none");
  if (machines.length === 0) throw new RangeError("Cannot make a season: need a machine, got none");
  for (const { site, iron, mineral } of sites) {
    for (const [name, value] of Object.entries({ iron, mineral })) {
      if (!(value >= 0 && value <= 1)) {
        throw new RangeError(
          `Cannot make a season: ${name} of ${site} must lie between 0 and 1, got ${value}`,
        );
      }
    }
  }
  const tablesOf = new Map<string, FieldTables>();
  const tables = (machine: VirtualMachine): FieldTables => {
    const key = `${machine.coil.winding} ${machine.coil.diameterCm}`;
    if (!tablesOf.has(key)) tablesOf.set(key, fieldTables(machine.coil));
    return tablesOf.get(key)!;
  };
  const width = Math.max(4, String(signals).length), outings = Math.ceil(signals / perOuting);
  let siteOrder: VirtualSite[] = [], stream = 0;
  for (let outing = 0, written = 0; written < signals; outing++) {
    // Sites come round in a new order each time, so that each is met as often.
    if (siteOrder.length === 0) siteOrder = chance(seed, "virtual/sites", outing).shuffle(sites);
    const site = siteOrder.pop()!;
    const machine = machines[(outing % 4 === 3 ? 2 : outing % 9 === 5 ? 1 : 0) % machines.length]!;
    const observer = OBSERVERS[outing % OBSERVERS.length]!;
    const weights = kindWeights(site);
    const days = Math.floor(outing * 200 / Math.max(outings, 25));
    for (let spot = 0; spot < perOuting && written < signals;) {
      const draw = chance(seed, "virtual/signal", stream++);
      const scene = drawScene(draw, SCENE_KINDS[pickWeighted(draw, weights)]!, machine.frequencyHz);
      const made = seasonRow({ draw, scene, site, machine, observer, tables: tables(machine) });
      if (made === null) continue;
      spot++;
      written++;
      const signalId = `S${String(written).padStart(width, "0")}`;
      yield {
        row: {
          signal_id: signalId,
          outing_id: `O${String(outing + 1).padStart(2, "0")}`,
          date: dayAfter(from, days),
          ...made.row,
        },
        truth: {
          signalId,
          kind: scene.kind,
          class: classOfScene(scene),
          depthCm: scene.depthCm,
          groundLagDeg: groundLagDeg(site.mineral, scene.depthCm),
          digChance: made.digChance,
          site,
          machine,
          heard: made.heard,
        },
      };
    }
  }
}
