import type { ToneScheme } from "../log/mod.ts";

/**
 * Gives the band a reading falls in, counted from 0 at the low end of the scale.
 *
 * A reading equal to a break belongs to the upper band. The scheme is taken as valid (`checkToneScheme`). A sliding
 * scheme answers 0 below its break and 1 from the break on: the pitch between its ends is `pitchOf`.
 *
 * Throws RangeError for a reading that is not a finite number: a pass without a number has no band.
 *
 * @example
 * ```ts
 * import { bandOf, exampleToneSchemes } from "overiron";
 * const four = exampleToneSchemes().find((entry) => entry.scheme.name === "four bands, 0 to 600")!.scheme;
 * if (bandOf(209, four) !== 0 || bandOf(210, four) !== 1) throw new Error("a break belongs to the upper band");
 * ```
 */
export function bandOf(reading: number, scheme: ToneScheme): number {
  if (!Number.isFinite(reading)) {
    throw new RangeError(`Cannot give a band: the reading must be a number, got ${reading}`);
  }
  let low = 0;
  let high = scheme.breaks.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (scheme.breaks[middle]! <= reading) low = middle + 1;
    else high = middle;
  }
  return low;
}
