import { needAboveZero } from "./_check.ts";

/** Two ways to wind a coil. "concentric": a receiving loop of half the diameter inside; "overlapped": two equal loops side by side. */
export type Winding = "concentric" | "overlapped";

/** A search coil: how it is wound, and its outer width along the sweep. */
export interface VirtualCoil {
  readonly winding: Winding;
  readonly diameterCm: number;
}

/** One loop of a coil: its radius, and how far its middle lies from the coil's middle along the sweep. */
export interface CoilLoop {
  readonly radiusCm: number;
  readonly xCm: number;
}

/**
 * Two equal loops in one plane hear nothing of each other when their middles are this many radii apart (mutual inductance by Neumann's
 * formula, solved by us; the wires are taken as thin).
 */
export const NULL_SPACING = 1.5160437;

/**
 * Gives the transmitting and the receiving loop of a coil.
 *
 * Concentric: diameters D and D/2 about one middle. Overlapped: two equal round loops, side by side along the sweep at the spacing where they do not
 * hear each other, together as wide as the coil. Real overlapped windings are D-shaped: this keeps what matters, that the two
 * fields point opposite ways sideways below the middle.
 *
 * Throws RangeError for a diameter that is not above 0.
 *
 * @example
 * ```ts
 * import { coilLoops } from "overiron";
 * const { transmit, receive } = coilLoops({ winding: "concentric", diameterCm: 28 });
 * if (transmit.radiusCm !== 14 || receive.radiusCm !== 7) throw new Error("wrong");
 * ```
 */
export function coilLoops(coil: VirtualCoil): { readonly transmit: CoilLoop; readonly receive: CoilLoop } {
  needAboveZero("lay out coil", { diameterCm: coil.diameterCm });
  if (coil.winding === "concentric") {
    return {
      transmit: { radiusCm: coil.diameterCm / 2, xCm: 0 },
      receive: { radiusCm: coil.diameterCm / 4, xCm: 0 },
    };
  }
  const radiusCm = coil.diameterCm / (2 + NULL_SPACING);
  const xCm = radiusCm * NULL_SPACING / 2;
  return { transmit: { radiusCm, xCm: -xCm }, receive: { radiusCm, xCm } };
}
