import type { Complex } from "./_complex.ts";

/** The magnetic constant, N/A^2 (CODATA 2022, from memory). */
export const MU0 = 1.25663706127e-6;

/** Throws RangeError unless each named number is finite and above 0. */
export function needAboveZero(what: string, numbers: Readonly<Record<string, number>>): void {
  for (const name of Object.keys(numbers)) {
    const value = numbers[name]!;
    if (!(value > 0 && value < Infinity)) {
      throw new RangeError(`Cannot ${what}: ${name} must be above 0, got ${value}`);
    }
  }
}

/** Throws RangeError unless each named number is finite. */
export function needFinite(what: string, numbers: Readonly<Record<string, number>>): void {
  for (const name of Object.keys(numbers)) {
    const value = numbers[name]!;
    if (!Number.isFinite(value)) {
      throw new RangeError(`Cannot ${what}: ${name} must be a finite number, got ${value}`);
    }
  }
}

/** A metal and a frequency, checked. */
export interface MetalAtFrequency {
  readonly conductivitySPerM: number;
  readonly relativePermeability: number;
  readonly frequencyHz: number;
}

/** Lowest and highest frequency the quasi-static formulas are used for. */
export const FREQUENCY_LIMITS_HZ = [1, 1e7] as const;

/**
 * Checks a metal and gives |k| (1/m), where k = sqrt(i w mu0 mu_r sigma).
 *
 * Throws RangeError for a conductivity or permeability that cannot be, or a frequency outside FREQUENCY_LIMITS_HZ.
 */
export function waveNumberPerM(what: string, metal: MetalAtFrequency): number {
  needAboveZero(what, { conductivitySPerM: metal.conductivitySPerM });
  if (!(metal.relativePermeability >= 1 && metal.relativePermeability < Infinity)) {
    throw new RangeError(
      `Cannot ${what}: relativePermeability must be 1 or above, got ${metal.relativePermeability}`,
    );
  }
  const [low, high] = FREQUENCY_LIMITS_HZ;
  if (!(metal.frequencyHz >= low && metal.frequencyHz <= high)) {
    throw new RangeError(
      `Cannot ${what}: frequencyHz must lie between ${low} and ${high}, got ${metal.frequencyHz}`,
    );
  }
  return Math.sqrt(
    2 * Math.PI * metal.frequencyHz * MU0 * metal.relativePermeability * metal.conductivitySPerM,
  );
}

/** sqrt(i) times a length: the complex argument alpha of |alpha| = size. */
export const alongRootOfI = (size: number): Complex => ({ re: size * Math.SQRT1_2, im: size * Math.SQRT1_2 });
