import type { Chance } from "../numbers/chance.ts";
import type { FieldTables } from "./field_tables.ts";
import { type BuriedObject, layObject } from "./lay_object.ts";
import { METALS } from "./metals.ts";
import type { ObjectResponse } from "./object_response.ts";
import { type PassReader, passReader } from "./pass_reader.ts";
import type { VirtualMachine } from "./virtual_machine.ts";
import { isIron, reachCm, VIRTUAL_OBJECTS, type VirtualObject, virtualResponse } from "./virtual_object.ts";

/** What lies under a signal. "iron that reads high" is a cap, ring or sheet. */
export const SCENE_KINDS = [
  "iron",
  "iron that reads high",
  "clean good",
  "clean rubbish",
  "masked good",
  "hazard",
] as const;
export type SceneKind = (typeof SCENE_KINDS)[number];

/** A site as the season knows it: share of ground full of iron (0 to 1), and how mineral it is (0 to 1). */
export interface VirtualSite {
  readonly site: string;
  readonly iron: number;
  readonly mineral: number;
}

/** How often each kind of scene is met on a site, as weights in the order of SCENE_KINDS. */
export const kindWeights = ({ iron }: Pick<VirtualSite, "iron">): readonly number[] => [
  0.28 + 0.9 * iron,
  0.07 + 0.05 * iron,
  0.17,
  0.11,
  0.07 + 0.12 * iron,
  0.006,
];

/** By how much mineral ground lowers the phase lag of anything deeper than 10 cm. Stated by us, not derived from physics. */
export const groundLagDeg = (mineral: number, depthCm: number): number =>
  mineral * 1.5 * Math.max(0, depthCm - 10);

export interface Laid {
  readonly object: VirtualObject;
  readonly buried: BuriedObject;
  readonly keep: boolean;
}

export interface SeasonScene {
  readonly kind: SceneKind;
  readonly depthCm: number;
  /** The object that gives the scene its kind stands first. */
  readonly laid: readonly Laid[];
}

const { disc, ball, buckle, foil, scrap, slag, cap, sheet, cartridge } = VIRTUAL_OBJECTS;
const sizes = (object: VirtualObject, ...all: [lengthMm: number, thicknessMm: number][]): VirtualObject[] =>
  all.map(([lengthMm, thicknessMm]) => ({ ...object, lengthMm, thicknessMm }));
const nail = (lengthMm: number, thicknessMm: number): VirtualObject => ({
  what: lengthMm < 45
    ? "small hand-forged nail"
    : lengthMm < 90
    ? "medium hand-forged nail"
    : "large hand-forged nail",
  shape: "rod",
  metal: METALS.wroughtIron,
  lengthMm,
  thicknessMm,
});
const GOODS = [
  ...sizes(disc, [18, 1.2], [22, 1.4], [24, 1.5], [27, 1.8]),
  ...sizes(ball, [12, 12], [15, 15], [18, 18]),
  ...sizes(buckle, [20, 1.2], [28, 1.8], [34, 2]),
];
const RUBBISH = [
  ...sizes(foil, [16, 0.08], [20, 0.12], [26, 0.2]),
  ...sizes(scrap, [14, 1.2], [22, 2], [30, 2.5]),
];
const NAILS = [
  [26, 2.5],
  [32, 3],
  [40, 3],
  [50, 3.5],
  [58, 4],
  [65, 4.5],
  [80, 5],
  [95, 6],
  [110, 6.5],
].map(([length, thickness]) => nail(length!, thickness!));
const HIGH_IRON = [
  ...sizes(cap, [22, 0.8], [28, 1]),
  ...sizes({ ...cap, what: "iron ring" }, [32, 2]),
  ...sizes(sheet, [40, 0.8], [55, 1]),
];
const SLAG = sizes(slag, [16, 16], [24, 24], [32, 32]);

const responses = new Map<VirtualObject, Map<number, ObjectResponse>>();
function responseOf(object: VirtualObject, frequencyHz: number): ObjectResponse {
  let byFrequency = responses.get(object);
  if (!byFrequency) responses.set(object, byFrequency = new Map());
  let response = byFrequency.get(frequencyHz);
  if (!response) byFrequency.set(frequencyHz, response = virtualResponse(object, frequencyHz));
  return response;
}

const pick = <T>(draw: Chance, items: readonly T[]): T => items[draw.integer(items.length)]!;

/** Picks an index by weight. */
export function pickWeighted(draw: Chance, weights: readonly number[]): number {
  let left = draw.next() * weights.reduce((sum, weight) => sum + weight, 0);
  for (let i = 0; i < weights.length; i++) {
    left -= weights[i]!;
    if (left < 0) return i;
  }
  return weights.length - 1;
}

/** Half centimetres, so that field tables are shared. */
const depthOf = (draw: Chance, usual: number): number =>
  Math.min(22, Math.max(2, Math.round((usual + 3.5 * draw.normal()) * 2) / 2));

/** Draws what lies under a signal of a kind. The same kind is laid alike on every site. */
export function drawScene(draw: Chance, kind: SceneKind, frequencyHz: number): SeasonScene {
  const depthCm = depthOf(draw, kind === "iron that reads high" ? 7 : 9);
  const laid: Laid[] = [];
  const put = (object: VirtualObject, xCm: number, yCm: number, depth: number): void => {
    const rod = object.shape === "rod";
    const steep = rod ? Math.min(85, Math.abs(25 * draw.normal())) : Math.abs(8 * draw.normal());
    laid.push({
      object,
      keep: GOODS.includes(object),
      buried: layObject(responseOf(object, frequencyHz), {
        shape: rod ? "rod" : "plate",
        xCm,
        yCm,
        depthCm: depth,
        headingDeg: 360 * draw.next(),
        tiltDeg: steep,
      }),
    });
  };
  const beside = (first: VirtualObject): void => {
    const object = pick(draw, NAILS), angle = 2 * Math.PI * draw.next();
    const apart = reachCm(first) + reachCm(object) + 7 * draw.next();
    put(
      object,
      apart * Math.cos(angle),
      apart * Math.sin(angle),
      Math.max(1, depthCm + Math.round(2 * draw.normal()) / 2),
    );
  };
  if (kind === "iron") {
    put(draw.next() < 0.85 ? pick(draw, NAILS) : pick(draw, SLAG), 0, 0, depthCm);
    while (laid.length < 3 && draw.next() < 0.3) {
      put(
        pick(draw, NAILS),
        6 * draw.normal(),
        6 * draw.normal(),
        Math.max(1, depthCm + Math.round(3 * draw.normal()) / 2),
      );
    }
  } else if (kind === "iron that reads high") put(pick(draw, HIGH_IRON), 0, 0, depthCm);
  else if (kind === "clean good") put(pick(draw, GOODS), 0, 0, depthCm);
  else if (kind === "clean rubbish") put(pick(draw, RUBBISH), 0, 0, depthCm);
  else if (kind === "masked good") {
    const good = pick(draw, GOODS);
    put(good, 0, 0, depthCm);
    beside(good);
    if (draw.next() < 0.35) beside(good);
  } else put(cartridge, 0, 0, depthCm);
  return { kind, depthCm, laid };
}

/** Reads a scene with a machine on ground of some mineral content. */
export const sceneReader = (
  scene: SeasonScene,
  machine: VirtualMachine,
  mineral: number,
  tables: FieldTables,
): PassReader =>
  passReader(scene.laid.map(({ buried }) => buried), machine, {
    groundLagDeg: groundLagDeg(mineral, scene.depthCm),
    tables,
  });

/** The class that the rule of outcomes would give with full knowledge; null for a hazard. */
export function classOfScene(scene: SeasonScene): "ferrous" | "non-ferrous" | "masked-good" | null {
  if (scene.kind === "hazard") return null;
  if (scene.laid.every(({ object }) => isIron(object))) return "ferrous";
  return scene.kind === "masked good" ? "masked-good" : "non-ferrous";
}
