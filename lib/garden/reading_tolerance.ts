import type { GardenDrift, LaidPair } from "./trial_drift.ts";

/**
 * Gives the difference that passes and display can make by themselves for a pair, in reading units, 0 or above: the larger of the
 * clean repeat spread (interquartile range, type 7, of the target alone about each trial and direction's median) and two display steps.
 *
 * Where the target alone gave fewer than four readings the display steps stand by themselves; 0 for a machine that is not described.
 *
 * @example
 * ```ts
 * import { readingTolerance } from "overiron";
 * const pair = { key: "p", group: "g", machine: "Machine B", target: "disc", neighbour: "nail", kind: null, of: {}, step: 5, touching_cm: null, trials: 1 };
 * if (readingTolerance({ cleanSpread: new Map([["g", 3]]) }, pair) !== 10) throw new Error("wrong");
 * ```
 */
export function readingTolerance(drift: Pick<GardenDrift, "cleanSpread">, pair: LaidPair): number {
  return Math.max(drift.cleanSpread.get(pair.group) ?? 0, 2 * (pair.step ?? 0));
}
