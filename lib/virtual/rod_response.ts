import { alongRootOfI, type MetalAtFrequency, needAboveZero, waveNumberPerM } from "./_check.ts";
import { besselRatio } from "./bessel_ratio.ts";
import { type Complex, minus, over, plus, scaled } from "./_complex.ts";
import { demagnetisingFactor } from "./demagnetising_factor.ts";
import type { ObjectResponse } from "./object_response.ts";

/** A straight round rod: a nail, a pin, a bit of wire. */
export interface Rod {
  readonly lengthMm: number;
  readonly diameterMm: number;
}

/**
 * Gives how a rod answers a field along it and across it.
 *
 * Along each axis m = V (me - 1)/(1 + N (me - 1)) H0, with the volume V, the permeability as eddy currents leave it
 * (lengthwise me = mu_r 2 I1(z)/(z I0(z)), across me = mu_r/(z I0(z)/I1(z) - 1), z = k d/2: an endless cylinder in an even field, textbook, from
 * memory) and the demagnetising factor N of a spheroid of the same aspect. Derived by us; there is no published table for nails.
 *
 * Throws RangeError for a size, metal or frequency that cannot be, or a rod thicker than long.
 *
 * @example
 * ```ts
 * import { METALS, phaseLagDeg, rodResponse } from "overiron";
 * const nail = rodResponse({ lengthMm: 65, diameterMm: 3 }, { ...METALS.wroughtIron, frequencyHz: 8000 });
 * if (Math.abs(phaseLagDeg(nail.axial) - 40.15) > 0.01) throw new Error("wrong");
 * ```
 */
export function rodResponse(rod: Rod, metal: MetalAtFrequency): ObjectResponse {
  needAboveZero("compute rod", { lengthMm: rod.lengthMm, diameterMm: rod.diameterMm });
  if (rod.diameterMm > rod.lengthMm) {
    throw new RangeError(
      `Cannot compute rod: diameterMm must be no more than lengthMm ${rod.lengthMm}, got ${rod.diameterMm}`,
    );
  }
  const z = alongRootOfI(waveNumberPerM("compute rod", metal) * rod.diameterMm / 2000);
  const ratio = besselRatio(z);
  const volume = Math.PI * (rod.diameterMm / 1000) ** 2 * rod.lengthMm / 4000;
  const along = demagnetisingFactor(rod.lengthMm / rod.diameterMm);
  const one: Complex = { re: 1, im: 0 };
  const moment = (permeability: Complex, factor: number): Complex => {
    const excess = minus(permeability, one);
    return scaled(over(excess, plus(one, scaled(excess, factor))), volume);
  };
  const mu = metal.relativePermeability;
  return {
    axial: moment(scaled(over(ratio, z), 2 * mu), along),
    transverse: moment(over({ re: mu, im: 0 }, minus(over(z, ratio), one)), (1 - along) / 2),
  };
}
