import { needAboveZero, needFinite } from "./_check.ts";

/** The field of a loop in its own frame: outwards from the axis, and along it (A/m for a current of 1 A). */
export interface LoopField {
  readonly radial: number;
  readonly axial: number;
}

/**
 * Gives the field of a round wire loop carrying 1 A.
 *
 * `radiusM` above 0; `at` is a point outside the wire: `rhoM` (0 or above) its distance from the axis, `zM` its height over the loop's plane.
 * Elliptic integrals by the arithmetic-geometric mean (field as in Smythe 1950, Static and Dynamic Electricity, from memory). On the axis it
 * is a^2/(2 (a^2 + z^2)^1.5). Close to the axis the radial part is taken from its series.
 *
 * Throws RangeError for a radius not above 0, or a point on the wire or not finite.
 *
 * @example
 * ```ts
 * import { loopField } from "overiron";
 * const { axial } = loopField(0.14, { rhoM: 0, zM: 0.1 });
 * if (Math.abs(axial - 0.14 ** 2 / (2 * (0.14 ** 2 + 0.1 ** 2) ** 1.5)) > 1e-12) throw new Error("wrong");
 * ```
 */
export function loopField(radiusM: number, at: { readonly rhoM: number; readonly zM: number }): LoopField {
  needAboveZero("compute loop field", { radiusM });
  needFinite("compute loop field", { rhoM: at.rhoM, zM: at.zM });
  if (at.rhoM < 0) throw new RangeError(`Cannot compute loop field: rhoM must be 0 or above, got ${at.rhoM}`);
  const out = new Float64Array(2);
  fillLoopField(radiusM, at.rhoM, at.zM, out);
  if (!Number.isFinite(out[1]!)) {
    throw new RangeError(
      `Cannot compute loop field: the point must lie off the wire, got rhoM ${at.rhoM}, zM ${at.zM}`,
    );
  }
  return { radial: out[0]!, axial: out[1]! };
}

/** The same, unchecked, into out[0] (radial) and out[1] (axial): for inner loops. Not finite on the wire. */
export function fillLoopField(radius: number, rho: number, z: number, out: Float64Array): void {
  const near = (radius - rho) ** 2 + z * z;
  const far = (radius + rho) ** 2 + z * z;
  let mean = 1, geometric = Math.sqrt(near / far);
  let gap = Math.sqrt(Math.max(0, 1 - near / far)), weight = 0.5, sum = 0.5 * gap * gap;
  for (let i = 0; i < 12 && gap > 1e-9; i++) {
    gap = (mean - geometric) / 2;
    const next = (mean + geometric) / 2;
    geometric = Math.sqrt(mean * geometric);
    mean = next;
    weight *= 2;
    sum += weight * gap * gap;
  }
  const k = Math.PI / (2 * mean), e = k * (1 - sum);
  const common = 1 / (2 * Math.PI * near * Math.sqrt(far));
  const square = radius * radius + z * z;
  out[1] = common * ((radius * radius - rho * rho - z * z) * e + near * k);
  out[0] = rho < 1e-3 * Math.sqrt(square)
    ? 0.75 * radius * radius * z * rho / square ** 2.5 *
      (1 + 5 * rho * rho * (3 * radius * radius - 4 * z * z) / (8 * square * square))
    : common * z / rho * ((square + rho * rho) * e - near * k);
}
