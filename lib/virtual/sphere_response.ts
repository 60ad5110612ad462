import { alongRootOfI, type MetalAtFrequency, needAboveZero, waveNumberPerM } from "./_check.ts";
import { type Complex, exponential, minus, over, plus, scaled, times } from "./_complex.ts";
import type { ObjectResponse } from "./object_response.ts";

/**
 * Gives X + iY of a conducting, permeable sphere in an even field: its moment is -2 pi a^3 H0 (X + iY).
 *
 * `inductionNumber` is |k a| = a sqrt(w mu0 mu_r sigma) (above 0), `relativePermeability` 1 or above. X runs from
 * -2 (mu_r - 1)/(mu_r + 2) at low frequency to 1 at high. Formula: X + iY = (D - 2 mu_r)/(D + mu_r), with
 * D = alpha^2/(alpha coth alpha - 1) - 1 (Wait 1951, Geophysics 16:666). Below |alpha| = 8 D is taken as the continued fraction
 * 2 + alpha^2/(5 + alpha^2/(7 + ...)), 40 terms from the back; above it coth comes from exp(-2 alpha), so that nothing overflows.
 *
 * Throws RangeError outside those ranges.
 *
 * @example
 * ```ts
 * import { sphereFunction } from "overiron";
 * const { re, im } = sphereFunction(5, 1);
 * if (Math.abs(re - 0.575739) > 1e-6 || Math.abs(im - 0.305284) > 1e-6) throw new Error("wrong");
 * ```
 */
export function sphereFunction(inductionNumber: number, relativePermeability: number): Complex {
  needAboveZero("compute sphere", { inductionNumber });
  if (!(relativePermeability >= 1 && relativePermeability < Infinity)) {
    throw new RangeError(
      `Cannot compute sphere: relativePermeability must be 1 or above, got ${relativePermeability}`,
    );
  }
  const alpha = alongRootOfI(inductionNumber);
  const square: Complex = { re: 0, im: inductionNumber * inductionNumber };
  if (inductionNumber < 8) {
    // d - 2 is kept apart, so that X of a weak sphere keeps its digits.
    let below: Complex = { re: 83, im: 0 };
    for (let odd = 81; odd >= 5; odd -= 2) below = plus({ re: odd, im: 0 }, over(square, below));
    const rest = over(square, below);
    return over(
      plus({ re: 2 - 2 * relativePermeability, im: 0 }, rest),
      plus({ re: 2 + relativePermeability, im: 0 }, rest),
    );
  }
  const small = exponential(scaled(alpha, -2));
  const one: Complex = { re: 1, im: 0 };
  const coth = over(plus(one, small), minus(one, small));
  const d = minus(over(square, minus(times(alpha, coth), one)), one);
  return over(
    minus(d, { re: 2 * relativePermeability, im: 0 }),
    plus(d, { re: relativePermeability, im: 0 }),
  );
}

/** A round ball. */
export interface Sphere {
  readonly radiusMm: number;
}

/**
 * Gives how a ball answers a field: its moment per unit field (m^3), the same along every axis.
 *
 * Moment and limits as in `sphereFunction`. At direct current it is 4 pi a^3 (mu_r - 1)/(mu_r + 2).
 *
 * Throws RangeError for a size, metal or frequency that cannot be.
 *
 * @example
 * ```ts
 * import { METALS, sphereResponse } from "overiron";
 * const ball = sphereResponse({ radiusMm: 7 }, { ...METALS.lead, frequencyHz: 8000 });
 * if (!(ball.axial.re < 0 && ball.axial.im < 0)) throw new Error("not a conductor");
 * ```
 */
export function sphereResponse(sphere: Sphere, metal: MetalAtFrequency): ObjectResponse {
  needAboveZero("compute sphere", { radiusMm: sphere.radiusMm });
  const radius = sphere.radiusMm / 1000;
  const k = waveNumberPerM("compute sphere", metal);
  const moment = scaled(sphereFunction(k * radius, metal.relativePermeability), -2 * Math.PI * radius ** 3);
  return { axial: moment, transverse: moment };
}
