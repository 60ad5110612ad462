import { needFinite } from "./_check.ts";
import type { ObjectResponse } from "./object_response.ts";

/** An object in the ground. x runs along the sweep (to the right), y across it, depth down from the surface to its middle. */
export interface BuriedObject {
  readonly response: ObjectResponse;
  readonly xCm: number;
  readonly yCm: number;
  readonly depthCm: number;
  /** Its axis of symmetry, length 1: along the sweep, across it, up. */
  readonly axis: readonly [number, number, number];
}

/** Where and how an object lies. */
export interface LayObjectOptions {
  /** "rod": the axis lies flat unless tilted. "plate": the plate lies flat, its axis upright, unless tilted. Default "plate". */
  readonly shape?: "rod" | "plate";
  /** Default 0. */
  readonly xCm?: number;
  /** Default 0. */
  readonly yCm?: number;
  /** From the surface to the object's middle. Default 10. */
  readonly depthCm?: number;
  /** In plan: 0 along the sweep, 90 across it. For a plate: the way it is tilted. Default 0. */
  readonly headingDeg?: number;
  /** From flat. Default 0. */
  readonly tiltDeg?: number;
}

/**
 * Lays an object in the ground.
 *
 * Throws RangeError for a number that is not finite or a depth below 0.
 *
 * @example
 * ```ts
 * import { layObject, METALS, rodResponse } from "overiron";
 * const nail = rodResponse({ lengthMm: 65, diameterMm: 3 }, { ...METALS.wroughtIron, frequencyHz: 8000 });
 * const laid = layObject(nail, { shape: "rod", headingDeg: 90, depthCm: 8 });
 * if (Math.abs(laid.axis[1] - 1) > 1e-12) throw new Error("not across the sweep");
 * ```
 */
export function layObject(response: ObjectResponse, options: LayObjectOptions = {}): BuriedObject {
  const { shape = "plate", xCm = 0, yCm = 0, depthCm = 10, headingDeg = 0, tiltDeg = 0 } = options;
  needFinite("lay object", { xCm, yCm, depthCm, headingDeg, tiltDeg });
  if (depthCm < 0) throw new RangeError(`Cannot lay object: depthCm must be 0 or above, got ${depthCm}`);
  const heading = headingDeg * Math.PI / 180, tilt = tiltDeg * Math.PI / 180;
  const flat = shape === "rod" ? Math.cos(tilt) : Math.sin(tilt);
  const up = shape === "rod" ? Math.sin(tilt) : Math.cos(tilt);
  return { response, xCm, yCm, depthCm, axis: [flat * Math.cos(heading), flat * Math.sin(heading), up] };
}

/**
 * Gives the same object as seen after the sweeper has turned a quarter to the left about the spot x = y = 0.
 *
 * @example
 * ```ts
 * import { afterQuarterTurn, discResponse, layObject, METALS } from "overiron";
 * const coin = discResponse({ radiusMm: 12, thicknessMm: 1.5 }, { ...METALS.copper, frequencyHz: 8000 });
 * if (afterQuarterTurn(layObject(coin, { xCm: 4 })).yCm !== -4) throw new Error("wrong");
 * ```
 */
export function afterQuarterTurn(object: BuriedObject): BuriedObject {
  const [along, across, up] = object.axis;
  return { ...object, xCm: object.yCm, yCm: 0 - object.xCm, axis: [across, 0 - along, up] };
}
