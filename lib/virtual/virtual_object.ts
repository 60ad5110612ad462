import { discResponse } from "./disc_response.ts";
import { type Metal, METALS } from "./metals.ts";
import type { ObjectResponse } from "./object_response.ts";
import { rodResponse } from "./rod_response.ts";
import { sphereResponse } from "./sphere_response.ts";

/** An object by shape, size and metal. Sizes in mm: a ball and a disc by their diameter. */
export interface VirtualObject {
  readonly what: string;
  readonly shape: "ball" | "disc" | "rod";
  readonly metal: Metal;
  /** Diameter of a ball or disc, length of a rod. */
  readonly lengthMm: number;
  /** Thickness of a disc or rod. A ball needs none. */
  readonly thicknessMm: number;
}

const make = (
  what: string,
  shape: VirtualObject["shape"],
  metal: Metal,
  lengthMm: number,
  thicknessMm: number,
): VirtualObject => ({ what, shape, metal, lengthMm, thicknessMm });

/** The demo objects. Invented: no real coin, button or nail is meant. */
export const VIRTUAL_OBJECTS = {
  disc: make("copper disc", "disc", METALS.copper, 24, 1.5),
  ball: make("lead ball", "ball", METALS.lead, 18, 18),
  buckle: make("brass buckle", "disc", METALS.brass, 28, 1.8),
  foil: make("folded foil", "disc", METALS.aluminium, 20, 0.12),
  scrap: make("lead scrap", "disc", METALS.lead, 22, 2),
  smallNail: make("small nail", "rod", METALS.wroughtIron, 32, 3),
  mediumNail: make("medium nail", "rod", METALS.wroughtIron, 80, 5),
  largeNail: make("large nail", "rod", METALS.wroughtIron, 110, 6.5),
  slag: make("iron slag lump", "ball", METALS.castIron, 24, 24),
  cap: make("iron cap", "disc", METALS.wroughtIron, 28, 1),
  sheet: make("rusted sheet piece", "disc", METALS.wroughtIron, 40, 0.8),
  cartridge: make("old unfired cartridge", "rod", METALS.brass, 40, 10),
} as const satisfies Record<string, VirtualObject>;

/**
 * Tells whether an object is iron.
 *
 * @example
 * ```ts
 * import { isIron, VIRTUAL_OBJECTS } from "overiron";
 * if (isIron(VIRTUAL_OBJECTS.disc) || !isIron(VIRTUAL_OBJECTS.cap)) throw new Error("wrong");
 * ```
 */
export const isIron = (object: VirtualObject): boolean => object.metal.relativePermeability > 1;

/**
 * Gives how an object answers at a frequency.
 *
 * Throws RangeError for a size or frequency that cannot be.
 *
 * @example
 * ```ts
 * import { phaseLagDeg, VIRTUAL_OBJECTS, virtualResponse } from "overiron";
 * const lag = (object: keyof typeof VIRTUAL_OBJECTS) => phaseLagDeg(virtualResponse(VIRTUAL_OBJECTS[object], 8000).axial);
 * if (!(lag("mediumNail") < 60 && lag("disc") > 165)) throw new Error("wrong");
 * ```
 */
export function virtualResponse(object: VirtualObject, frequencyHz: number): ObjectResponse {
  const metal = { ...object.metal, frequencyHz };
  switch (object.shape) {
    case "ball":
      return sphereResponse({ radiusMm: object.lengthMm / 2 }, metal);
    case "disc":
      return discResponse({ radiusMm: object.lengthMm / 2, thicknessMm: object.thicknessMm }, metal);
    case "rod":
      return rodResponse({ lengthMm: object.lengthMm, diameterMm: object.thicknessMm }, metal);
  }
}

/**
 * Gives how far an object reaches from its middle towards another beside it on the sweep line, in plan (cm): the radius of a ball or disc; for a rod
 * what lies between half its thickness (heading 90, across the line) and half its length (heading 0, pointing at it), less where tilted.
 *
 * @example
 * ```ts
 * import { reachCm, VIRTUAL_OBJECTS } from "overiron";
 * if (reachCm(VIRTUAL_OBJECTS.disc) !== 1.2 || reachCm(VIRTUAL_OBJECTS.mediumNail, 0) !== 4) throw new Error("wrong");
 * ```
 */
export function reachCm(object: VirtualObject, headingDeg = 90, tiltDeg = 0): number {
  if (object.shape !== "rod") return object.lengthMm / 20;
  const heading = headingDeg * Math.PI / 180, tilt = tiltDeg * Math.PI / 180;
  return Math.max(
    object.thicknessMm / 20,
    Math.abs(Math.cos(heading) * Math.cos(tilt)) * object.lengthMm / 20,
  );
}
