import { incompleteBeta } from "./_special_functions.ts";

/** Probability of k or more heads in n throws of a fair coin. */
export function binomialTail(k: number, n: number): number {
  if (k <= 0) return 1;
  if (k > n) return 0;
  return incompleteBeta(k, n - k + 1, 0.5, 0.5);
}
