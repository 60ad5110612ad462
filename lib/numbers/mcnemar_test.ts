import { checkCount } from "./_check_values.ts";
import { binomialTail } from "./_binomial.ts";
import { chiSquaredTail } from "./chi_squared_tail.ts";
import { type Absent, absent } from "./estimate.ts";

/** McNemar's test in its usual variants. */
export interface McnemarResult {
  /** (b - c)^2 / (b + c). */
  readonly chiSquared: number;
  readonly p: number;
  /** (max(|b - c| - 1, 0))^2 / (b + c), with Edwards' correction. */
  readonly chiSquaredCorrected: number;
  readonly pCorrected: number;
  /** From the binomial distribution, two-sided: twice the smaller tail, at most 1. */
  readonly pExact: number;
  /** The exact p value with the observed table counted half. */
  readonly pMid: number;
  /** Cases on which the two disagree, b + c. */
  readonly disagreements: number;
}

/**
 * Tests whether two rules judged on the same cases are right equally often, from the cases on which they disagree.
 *
 * @param onlyFirst Cases that the first alone got right (b).
 * @param onlySecond Cases that the second alone got right (c).
 * @returns Statistics and p values, 0 to 1; absent where they never disagree. Prefer the exact or mid p below about 25 disagreements.
 * The cases are taken as independent.
 *
 * Sources: McNemar (1947), Psychometrika 12:153-157; Edwards (1948), 13:185-187; mid p: Fagerland, Lydersen and Laake (2013), BMC Medical
 * Research Methodology 13:91.
 * Throws RangeError for counts that are not whole numbers of 0 or above.
 *
 * @example
 * ```ts
 * import { mcnemarTest } from "overiron";
 * const test = mcnemarTest(9, 2);
 * if (!("pExact" in test) || test.pExact.toFixed(5) !== "0.06543") throw new Error("wrong");
 * ```
 */
export function mcnemarTest(onlyFirst: number, onlySecond: number): McnemarResult | Absent {
  checkCount("test two rules", "onlyFirst", onlyFirst);
  checkCount("test two rules", "onlySecond", onlySecond);
  const disagreements = onlyFirst + onlySecond;
  const n = { disagreements };
  if (disagreements === 0) return absent("undefined", "The two rules never disagree", n);
  const gap = Math.abs(onlyFirst - onlySecond);
  const chiSquared = gap ** 2 / disagreements;
  const chiSquaredCorrected = Math.max(gap - 1, 0) ** 2 / disagreements;
  const most = Math.max(onlyFirst, onlySecond);
  const tail = binomialTail(most, disagreements), beyond = binomialTail(most + 1, disagreements);
  return {
    chiSquared,
    p: chiSquaredTail(chiSquared, 1),
    chiSquaredCorrected,
    pCorrected: chiSquaredTail(chiSquaredCorrected, 1),
    pExact: Math.min(1, 2 * tail),
    pMid: Math.min(1, tail + beyond),
    disagreements,
  };
}
