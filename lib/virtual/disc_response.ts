import { alongRootOfI, type MetalAtFrequency, MU0, needAboveZero, waveNumberPerM } from "./_check.ts";
import { type Complex, exponential, minus, over, plus, scaled, times } from "./_complex.ts";
import { demagnetisingFactor } from "./demagnetising_factor.ts";
import type { ObjectResponse } from "./object_response.ts";

/**
 * Weights and time constants of the six-term thin disc, tau_n = T_n mu0 sigma t a. Derived by us from the eigenvalues of the disc's
 * current (the first, T = 1/5.51, stands in Lamb 1887 and in Grant and West 1965, both from memory); the sixth term gathers the rest.
 */
export const DISC_TERMS = {
  weights: [
    0.7248175166774541,
    0.12455160417594739,
    0.048147921769681454,
    0.025131394816824082,
    0.015342401477902955,
    0.06200916108219012,
  ],
  times: [
    0.1815043612908805,
    0.08485870431120666,
    0.05535349873617592,
    0.04107073622797365,
    0.032646547911116944,
    0.015112770341022192,
  ],
} as const;

/**
 * Gives sum w_n i w tau_n/(1 + i w tau_n) of a thin disc at s = w mu0 sigma t a, which may be complex (a sheet thicker than the skin
 * depth). Runs from 0 (slow) to 1 (a perfect conductor): the moment is -(8/3) a^3 H0 times it.
 *
 * Against 40 terms the phase is off by at most 0.32 degrees and the size by 0.8 % for s from 0.1 to 1000.
 *
 * Throws RangeError unless both parts of s are finite.
 *
 * @example
 * ```ts
 * import { discFunction } from "overiron";
 * if (Math.abs(discFunction({ re: 1e9, im: 0 }).re - 1) > 1e-6) throw new Error("not a perfect conductor");
 * ```
 */
export function discFunction(s: Complex): Complex {
  if (!(Number.isFinite(s.re) && Number.isFinite(s.im))) {
    throw new RangeError(`Cannot compute disc: s must be finite, got ${s.re} + ${s.im}i`);
  }
  let sum: Complex = { re: 0, im: 0 };
  DISC_TERMS.weights.forEach((weight, n) => {
    const turned = scaled({ re: -s.im, im: s.re }, DISC_TERMS.times[n]!); // i w tau
    sum = plus(sum, scaled(over(turned, plus({ re: 1, im: 0 }, turned)), weight));
  });
  return sum;
}

/** A flat round plate: a coin, a buckle plate, folded foil, a ring or cap taken as one, a piece of sheet. */
export interface Disc {
  readonly radiusMm: number;
  readonly thicknessMm: number;
}

/** tanh(z)/z, stable at both ends. */
function tanhOver(z: Complex): Complex {
  if (Math.hypot(z.re, z.im) < 1e-4) return minus({ re: 1, im: 0 }, scaled(times(z, z), 1 / 3));
  const small = exponential(scaled(z, -2)), one: Complex = { re: 1, im: 0 };
  return over(over(minus(one, small), plus(one, small)), z);
}

/**
 * Gives how a disc answers a field: along its axis by eddy currents, and, where it is iron, across it by magnetisation.
 *
 * Axis: -(8/3) a^3 times `discFunction`, with tau divided by (1 + 0.912 t/a) for the thickness (derived by us; about 2 degrees of phase,
 * the size 5 to 17 % low). Iron has its sheet conductance lowered by tanh(z)/z, z = k t/2. In the plane a disc that is not iron is taken as
 * silent; iron answers as an oblate spheroid of that aspect with the permeability of a slab, mu_r tanh(z)/z (textbook, from memory). A
 * plate of iron under the middle of a coil can so read as a conductor. Rings are taken as discs.
 *
 * Throws RangeError for a size, metal or frequency that cannot be, or a disc thicker than wide.
 *
 * @example
 * ```ts
 * import { discResponse, METALS, phaseLagDeg } from "overiron";
 * const coin = discResponse({ radiusMm: 12, thicknessMm: 1.5 }, { ...METALS.copper, frequencyHz: 8000 });
 * if (!(phaseLagDeg(coin.axial) > 160)) throw new Error("a copper disc is nearly a perfect conductor");
 * ```
 */
export function discResponse(disc: Disc, metal: MetalAtFrequency): ObjectResponse {
  needAboveZero("compute disc", { radiusMm: disc.radiusMm, thicknessMm: disc.thicknessMm });
  if (disc.thicknessMm > 2 * disc.radiusMm) {
    throw new RangeError(
      `Cannot compute disc: thicknessMm must be no more than the diameter ${
        2 * disc.radiusMm
      }, got ${disc.thicknessMm}`,
    );
  }
  const radius = disc.radiusMm / 1000, thickness = disc.thicknessMm / 1000;
  const k = waveNumberPerM("compute disc", metal);
  const iron = metal.relativePermeability > 1;
  const slab = iron ? tanhOver(alongRootOfI(k * thickness / 2)) : { re: 1, im: 0 };
  const slow = 2 * Math.PI * metal.frequencyHz * MU0 * metal.conductivitySPerM * thickness * radius /
    (1 + 0.912 * thickness / radius);
  const axial = scaled(discFunction(scaled(slab, slow)), -8 / 3 * radius ** 3);
  if (!iron) return { axial, transverse: { re: 0, im: 0 } };
  const volume = Math.PI * radius ** 2 * thickness;
  const excess = minus(scaled(slab, metal.relativePermeability), { re: 1, im: 0 });
  const across = (1 - demagnetisingFactor(thickness / (2 * radius))) / 2;
  return { axial, transverse: scaled(over(excess, plus({ re: 1, im: 0 }, scaled(excess, across))), volume) };
}
