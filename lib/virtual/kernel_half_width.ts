/** How the object answers: the same in all directions, or along one axis that lies flat. */
export type KernelShape = "round" | "flat";

const SHARES = { round: { coil: 0.261, depth: 0.454 }, flat: { coil: 0.225, depth: 0.31 } } as const;

/**
 * Gives the sideways distance (cm) at which the raw signal of an object under a concentric coil falls to one half.
 *
 * `coilCm` is the coil's diameter, `depthCm` the distance from coil to object; both above 0. The signal falls nearly as
 * 2^-(x/w)^2 with the sideways distance x; this returns w = sqrt((p coilCm)^2 + (q depthCm)^2), with p and q fitted by us to
 * the field of a loop and a receiving loop of half its diameter. It does not hold for a swept and filtered signal.
 *
 * Throws RangeError for a size that is not above 0.
 *
 * @example
 * ```ts
 * import { kernelHalfWidthCm } from "overiron";
 * if (Math.abs(kernelHalfWidthCm(28, 10) - 8.6034) > 0.0001) throw new Error("wrong");
 * ```
 */
export function kernelHalfWidthCm(coilCm: number, depthCm: number, shape: KernelShape = "round"): number {
  for (const [name, size] of [["coilCm", coilCm], ["depthCm", depthCm]] as const) {
    if (!(size > 0 && size < Infinity)) {
      throw new RangeError(`Cannot compute half width: ${name} must be above 0, got ${size}`);
    }
  }
  return Math.hypot(SHARES[shape].coil * coilCm, SHARES[shape].depth * depthCm);
}
