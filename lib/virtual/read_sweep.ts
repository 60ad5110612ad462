import type { Chance } from "../numbers/chance.ts";
import { needFinite } from "./_check.ts";
import { nearestPeak, signalAt } from "./_peak.ts";
import type { SweepSignal } from "./sweep_signal.ts";

/** What a pass showed: the phase lag (degrees, above -180 to 180), how loud, and where the coil's middle was. */
export interface PassReading {
  readonly phaseLagDeg: number;
  readonly loudness: number;
  readonly positionCm: number;
}

export interface ReadSweepOptions {
  /** 1: the coil goes to the right; -1: to the left. Default 1. */
  readonly direction?: 1 | -1;
  /** Speed of the coil. Default 70. */
  readonly speedCmPerS?: number;
  /**
   * "peak": the number belongs to the peak nearest the target, as in a search. "mark": to the moment when the coil's middle is over the target, as in
   * a test garden where a string marks the spot. Default "peak".
   */
  readonly listen?: "peak" | "mark";
  /** Where the target lies. Default 0. */
  readonly targetXCm?: number;
  /** A peak farther than this from there belongs to something else; not for a mark. Default 12. */
  readonly reachCm?: number;
  /** The number is taken this long after the peak or the mark. Default 0. */
  readonly delayS?: number;
  /** A weaker peak is lost when it follows sooner than this time ln(first/second). Default 0: none is lost. */
  readonly recoveryS?: number;
  /** Peaks below this loudness are silent. Default 0. */
  readonly threshold?: number;
  /** Size of the noise in each part of the reading, and the stream it is drawn from. Default: none. */
  readonly noise?: { readonly size: number; readonly draw: Chance };
}

/**
 * Reads a filtered sweep as a machine does: the phase at the peak nearest the target (or over a mark), or null where nothing is heard.
 *
 * Peaks of the loudness are met in the order of travel; the swings that the filter alone makes on both sides of an object are not peaks. Which direction reads lower follows from where things lie and these rules; nothing
 * favours one.
 *
 * Throws RangeError for a number that is not finite, a negative time or reach, or a speed not above 0.
 *
 * @example
 * ```ts
 * import { discResponse, highPass, layObject, METALS, phaseLagDeg, readSweep, sweepSignal } from "overiron";
 * const coin = discResponse({ radiusMm: 12, thicknessMm: 1.5 }, { ...METALS.copper, frequencyHz: 8000 });
 * const heard = readSweep(highPass(sweepSignal([layObject(coin)], { winding: "concentric", diameterCm: 28 }), 28));
 * if (heard === null || Math.abs(heard.phaseLagDeg - phaseLagDeg(coin.axial)) > 1e-9) throw new Error("wrong");
 * ```
 */
export function readSweep(signal: SweepSignal, options: ReadSweepOptions = {}): PassReading | null {
  const {
    direction = 1,
    listen = "peak",
    speedCmPerS = 70,
    targetXCm = 0,
    reachCm = 12,
    delayS = 0,
    recoveryS = 0,
    threshold = 0,
    noise,
  } = options;
  needFinite("read sweep", { speedCmPerS, targetXCm, reachCm, delayS, recoveryS, threshold });
  for (const [name, value] of Object.entries({ reachCm, delayS, recoveryS, threshold })) {
    if (value < 0) throw new RangeError(`Cannot read sweep: ${name} must be 0 or above, got ${value}`);
  }
  if (!(speedCmPerS > 0)) {
    throw new RangeError(`Cannot read sweep: speedCmPerS must be above 0, got ${speedCmPerS}`);
  }
  const best = listen === "mark"
    ? targetXCm
    : nearestPeak(signal, { direction, speedCmPerS, targetXCm, reachCm, recoveryS, threshold });
  if (best === null) return null;
  const positionCm = best + direction * speedCmPerS * delayS;
  const { re: quietRe, im: quietIm } = signalAt(signal, positionCm);
  let realPart = quietRe, imaginary = quietIm;
  if (noise) {
    realPart += noise.size * noise.draw.normal();
    imaginary += noise.size * noise.draw.normal();
  }
  const loudness = Math.hypot(realPart, imaginary);
  if (loudness < threshold || loudness === 0) return null;
  return { phaseLagDeg: Math.atan2(-imaginary, realPart) * 180 / Math.PI, loudness, positionCm };
}
