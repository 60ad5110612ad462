import { betaProbability, betaQuantile } from "./beta_distribution.ts";
import { checkCount, checkProbability } from "./_check_values.ts";
import { type Absent, absent } from "./estimate.ts";

/** How the coverage of prediction sets varies from one set of calibration cases to another. */
export interface ConformalCoverage {
  /** The rank of the threshold among the calibration scores. */
  readonly rank: number;
  readonly mean: number;
  /** Standard deviation of the true coverage. */
  readonly standardDeviation: number;
  /** Standard deviation of the coverage counted on `tests` new cases. */
  readonly testStandardDeviation: number;
  /** Probability that the true coverage lies below 1 - miss. */
  readonly belowLevel: number;
  /** Its 5 % and 95 % quantiles. */
  readonly low: number;
  readonly high: number;
}

export interface ConformalCoverageOptions {
  /** Share that may be missed, above 0 and below 1. Default 0.1. */
  readonly miss?: number;
  /** Number of new cases to count on. Default 1000. */
  readonly tests?: number;
}

/**
 * Gives the law of the coverage that split conformal prediction sets reach with n calibration cases: Beta(k, n + 1 - k).
 *
 * @param cases Number of calibration cases, 1 or above.
 * @returns The law, all shares 0 to 1; absent where the cases are too few for the share.
 *
 * Source: Vovk (2012), Proceedings of Machine Learning Research 25:475-490; for scores without ties.
 * Throws RangeError for numbers outside these ranges.
 *
 * @example
 * ```ts
 * import { conformalCoverage } from "overiron";
 * const law = conformalCoverage(100);
 * if (!("rank" in law) || law.rank !== 91) throw new Error("wrong");
 * ```
 */
export function conformalCoverage(
  cases: number,
  options: ConformalCoverageOptions = {},
): ConformalCoverage | Absent {
  const { miss = 0.1, tests = 1000 } = options;
  checkCount("give a coverage", "cases", cases);
  checkCount("give a coverage", "tests", tests);
  checkProbability("give a coverage", "miss", miss);
  const rank = Math.ceil((cases + 1) * (1 - miss) - 1e-9);
  if (rank > cases || rank < 1) {
    return absent("too few", `A share of ${miss} cannot be had from ${cases} cases`, { cases });
  }
  if (tests < 1) throw new RangeError(`Cannot give a coverage: tests must be 1 or above, got ${tests}`);
  const a = rank, b = cases + 1 - rank, mean = a / (a + b);
  const variance = mean * (1 - mean) / (a + b + 1);
  return {
    rank,
    mean,
    standardDeviation: Math.sqrt(variance),
    testStandardDeviation: Math.sqrt(variance * (a + b + tests) / tests),
    belowLevel: betaProbability(1 - miss, [a, b]),
    low: betaQuantile(0.05, [a, b]),
    high: betaQuantile(0.95, [a, b]),
  };
}
