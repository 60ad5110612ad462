/**
 * Gives the demagnetising factor N along the axis of a spheroid (0 to 1); across it is (1 - N)/2.
 *
 * `aspect` (above 0) is length along the axis over width: above 1 a cigar, below 1 a lens, 1 a ball (N = 1/3). Formulas: Osborn 1945, Phys.
 * Rev. 67:351 and Stoner 1945, Phil. Mag. 36:803 (from memory). Near 1 by a series, where the formulas lose their digits.
 *
 * Throws RangeError for an aspect that is not above 0.
 *
 * @example
 * ```ts
 * import { demagnetisingFactor } from "overiron";
 * if (Math.abs(demagnetisingFactor(10) - 0.0202858803) > 1e-9) throw new Error("wrong");
 * ```
 */
export function demagnetisingFactor(aspect: number): number {
  if (!(aspect > 0 && aspect < Infinity)) {
    throw new RangeError(`Cannot compute demagnetising factor: aspect must be above 0, got ${aspect}`);
  }
  const off = aspect * aspect - 1;
  if (Math.abs(off) < 0.02) {
    // N = sum over n of (-off)^n/(2n + 3) in powers of the squared eccentricity, worked out from atanh(e)/e
    let sum = 0, power = 1;
    for (let n = 0; n < 12; n++) {
      sum += power / (2 * n + 3);
      power *= off / (1 + off);
    }
    return sum / (1 + off);
  }
  if (off > 0) {
    const root = Math.sqrt(off);
    return (aspect / root * Math.log(aspect + root) - 1) / off;
  }
  const root = Math.sqrt(-off);
  return (1 - aspect / root * Math.acos(aspect)) / -off;
}
