import { normalProbability } from "../numbers/mod.ts";

/**
 * How far q of the working curve may lie from the true one by its form alone, as a share of s: four of five noiseless gardens of the virtual garden's physics, a copper disc
 * beside nails, stay within it (of 60 gardens of 14 blocks of 13 trials, 80 % within 0.0125 s, the median 0.0079 s, the worst 0.0235 s: 0.19 cm2 too low on average at an s of 28 cm2).
 */
export const formErrorShare = 0.013;

/** The factor by which intervals of q and of all that follows from it are widened for the form's own error. */
export const formStretch = (sCm2: number, qVariance: number): number =>
  stretchForBias(formErrorShare * sCm2 / Math.sqrt(qVariance));

/**
 * By how much an interval must be stretched so that it holds the truth as often as promised where the estimate may be off by `ratio` standard errors: the bias-aware
 * interval of Armstrong and Kolesár (2018), Econometrica 86:655-683, for a level of 95 %, over its width without bias.
 */
export function stretchForBias(ratio: number): number {
  const held = (c: number): number => normalProbability(c - ratio) - normalProbability(-c - ratio);
  let low = 0, high = ratio + 10;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (held(middle) < 0.95) low = middle;
    else high = middle;
  }
  return (low + high) / 2 / 1.959963984540054;
}
