import { normalProbability } from "../numbers/mod.ts";

/**
 * How far q of the working curve may lie from the true one by its form alone, as a share of s: what noiseless gardens of the virtual garden's physics show for a copper
 * disc beside nails (0.5 cm2 at an s of 31 cm2).
 */
export const formErrorShare = 0.016;

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
