import type { Complex } from "./_complex.ts";

/**
 * How a small object with one axis of symmetry answers an even field at one frequency: its moment (A m^2) per unit field (A/m), so m^3,
 * for a field along its axis and for a field across it. Time factor exp(+i w t).
 */
export interface ObjectResponse {
  readonly axial: Complex;
  readonly transverse: Complex;
}

export type { Complex } from "./_complex.ts";
export { phaseLagDeg } from "./_complex.ts";
export type { MetalAtFrequency } from "./_check.ts";
