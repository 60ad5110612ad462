import type { ToneScheme } from "../log/mod.ts";

/** Options of `checkToneScheme`. */
export interface CheckToneSchemeOptions {
  /** The scale of the machine: a break must lie above `low` and not above `high`. Default: not checked. */
  readonly scale?: { readonly low: number; readonly high: number; readonly step: number };
  /** Readings below it are iron. Must lie on the scale. Default: not checked. */
  readonly ironBreak?: number;
}

/**
 * Gives the tone scheme back when it can be used, and says what is wrong with it when not.
 *
 * A scheme has k breaks and k + 1 bands, from the lowest readings to the highest; a reading equal to a break belongs to
 * the upper band. One band without a break is legal: everything sounds alike. A sliding scheme has one break and two
 * bands, the lower and the upper end of its pitch; the break tells its iron end from the rest.
 * Pitches are in hertz (20 to 20,000, what people hear), loudness runs from 0 (silent) to 1.
 *
 * Throws TypeError for a field of the wrong kind; RangeError for breaks that do not ascend or lie outside the scale, a
 * number of bands that does not fit the breaks, band names that are empty or the same, a pitch or loudness out of range,
 * or an iron break outside the scale.
 *
 * @example
 * ```ts
 * import { checkToneScheme } from "overiron";
 * const scheme = checkToneScheme({
 *   name: "two", kind: "bands", breaks: [150],
 *   bands: [{ name: "iron", pitch_hz: 110, loudness: 0.4 }, { name: "not iron", pitch_hz: 440, loudness: 0.8 }],
 * }, { scale: { low: 0, high: 600, step: 1 }, ironBreak: 150 });
 * if (scheme.bands.length !== 2) throw new Error("wrong");
 * ```
 */
export function checkToneScheme(scheme: ToneScheme, options: CheckToneSchemeOptions = {}): ToneScheme {
  const { scale, ironBreak } = options;
  if (typeof scheme !== "object" || scheme === null) {
    throw new TypeError(`Cannot use tone scheme: need an object, got ${scheme}`);
  }
  const who = `Cannot use tone scheme ${JSON.stringify(scheme.name)}`;
  if (typeof scheme.name !== "string" || scheme.name.trim() === "") {
    throw new TypeError(`Cannot use tone scheme: need a name, got ${JSON.stringify(scheme.name)}`);
  }
  if (scheme.kind !== "bands" && scheme.kind !== "sliding") {
    throw new TypeError(`${who}: kind must be "bands" or "sliding", got ${JSON.stringify(scheme.kind)}`);
  }
  if (!Array.isArray(scheme.breaks) || !Array.isArray(scheme.bands)) {
    throw new TypeError(`${who}: breaks and bands must be lists`);
  }
  checkBreaks(who, scheme.breaks, scale);
  if (scheme.bands.length !== scheme.breaks.length + 1) {
    throw new RangeError(
      `${who}: ${scheme.breaks.length} breaks make ${
        scheme.breaks.length + 1
      } bands, got ${scheme.bands.length}`,
    );
  }
  if (scheme.kind === "sliding" && scheme.bands.length !== 2) {
    throw new RangeError(`${who}: a sliding pitch has two bands, its ends, got ${scheme.bands.length}`);
  }
  const names = new Set<string>();
  for (const band of scheme.bands) {
    if (typeof band.name !== "string" || band.name.trim() === "") {
      throw new TypeError(`${who}: each band needs a name, got ${JSON.stringify(band.name)}`);
    }
    if (names.has(band.name)) {
      throw new RangeError(`${who}: band names must differ, got ${JSON.stringify(band.name)} twice`);
    }
    names.add(band.name);
    if (typeof band.pitch_hz !== "number" || !(band.pitch_hz >= 20 && band.pitch_hz <= 20000)) {
      throw new RangeError(`${who}: a pitch must be 20 to 20000 Hz, got ${band.pitch_hz}`);
    }
    if (typeof band.loudness !== "number" || !(band.loudness >= 0 && band.loudness <= 1)) {
      throw new RangeError(`${who}: a loudness must be 0 to 1, got ${band.loudness}`);
    }
  }
  if (ironBreak !== undefined) {
    if (!Number.isFinite(ironBreak)) {
      throw new TypeError(`${who}: the iron break must be a number, got ${ironBreak}`);
    }
    if (scale && (ironBreak < scale.low || ironBreak > scale.high)) {
      throw new RangeError(
        `${who}: the iron break must lie on the scale ${scale.low} to ${scale.high}, got ${ironBreak}`,
      );
    }
  }
  return scheme;
}

function checkBreaks(who: string, breaks: readonly number[], scale: CheckToneSchemeOptions["scale"]): void {
  breaks.forEach((value, i) => {
    if (typeof value !== "number" || !Number.isFinite(value)) {
      throw new TypeError(`${who}: a break must be a number, got ${JSON.stringify(value)}`);
    }
    const before = breaks[i - 1];
    if (before !== undefined && !(value > before)) {
      throw new RangeError(`${who}: breaks must ascend, got ${value} after ${before}`);
    }
    if (scale && (value <= scale.low || value > scale.high)) {
      throw new RangeError(
        `${who}: a break must lie above ${scale.low} and not above ${scale.high}, got ${value}`,
      );
    }
  });
}
