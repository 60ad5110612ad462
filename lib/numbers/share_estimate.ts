import { absent, type Counts, type Estimate, present } from "./estimate.ts";
import { proportionInterval, type ProportionIntervalOptions } from "./proportion_interval.ts";

export interface ShareEstimateOptions extends ProportionIntervalOptions {
  /** Name of the unit counted, as it stands in the result ("signals"). Default "cases". */
  readonly unit?: string;
  /** Further counts to show beside it. Default none. */
  readonly counts?: Counts;
}

/**
 * Gives the share of successes among n cases as an estimate, with Wilson's interval unless another is asked for.
 *
 * @param successes Whole number from 0 to n.
 * @param n Whole number of cases; with none the share is absent.
 * @returns A share, 0 to 1. The interval takes the cases as independent: where they come in groups, use `bootstrapByCluster`
 * or `clusterRobustMean`.
 *
 * Throws RangeError for counts that are not such whole numbers or a level outside 0 to 1.
 *
 * @example
 * ```ts
 * import { isPresent, shareEstimate } from "overiron";
 * const share = shareEstimate(3, 12, { unit: "signals" });
 * if (!isPresent(share) || share.value !== 0.25 || share.n.signals !== 12) throw new Error("wrong");
 * if (isPresent(shareEstimate(0, 0))) throw new Error("wrong");
 * ```
 */
export function shareEstimate(successes: number, n: number, options: ShareEstimateOptions = {}): Estimate {
  const { unit = "cases", counts = {}, ...interval } = options;
  const all = { ...counts, [unit]: n };
  if (successes === 0 && n === 0) return absent("no cases", `A share of no ${unit} does not exist`, all);
  return present(successes / n, proportionInterval(successes, n, interval), all);
}
