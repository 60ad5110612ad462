import { checkCount } from "./_check_values.ts";
import { type Absent, absent } from "./estimate.ts";

/** What a decision rule made of some cases, and the threshold probability behind it. */
export interface NetBenefitCounts {
  /** All cases. */
  readonly n: number;
  /** Cases that are a yes. */
  readonly events: number;
  readonly truePositives: number;
  readonly falsePositives: number;
  /** Probability at which acting and leaving are worth the same, above 0 and below 1. */
  readonly threshold: number;
}

/** Net benefits, in true positives a case. */
export interface NetBenefit {
  readonly rule: number;
  /** Of acting on every case. */
  readonly actOnAll: number;
  /** `rule` over the share of events: 1 for a rule without error. Absent without events. */
  readonly standardised: number | Absent;
  /** Acts spared in a hundred cases against acting on all, at no loss of events. */
  readonly sparedPerHundred: number;
}

/**
 * Gives the net benefit of a decision rule: right acts a case, less wrong ones at the price that the threshold sets.
 *
 * @param counts Whole numbers; the threshold is worth a false act at odds threshold / (1 - threshold).
 * @returns Net benefits; leaving every case has 0. Absent without cases.
 *
 * Source: Vickers and Elkin (2006), Medical Decision Making 26:565-574.
 * Throws RangeError for counts that contradict each other or a threshold outside 0 to 1.
 *
 * @example
 * ```ts
 * import { netBenefit } from "overiron";
 * const counts = { n: 1000, events: 120, truePositives: 100, falsePositives: 250, threshold: 0.1 };
 * const result = netBenefit(counts);
 * if (!("rule" in result) || Math.abs(result.rule - 13 / 180) > 1e-12) throw new Error("wrong");
 * ```
 */
export function netBenefit(counts: NetBenefitCounts): NetBenefit | Absent {
  const { n, events, truePositives, falsePositives, threshold } = counts;
  const doing = "give a net benefit";
  for (const [name, count] of Object.entries({ n, events, truePositives, falsePositives })) {
    checkCount(doing, name, count);
  }
  if (!(threshold > 0 && threshold < 1)) {
    throw new RangeError(`Cannot ${doing}: threshold must be inside 0 to 1, got ${threshold}`);
  }
  if (events > n || truePositives > events || falsePositives > n - events) {
    throw new RangeError(
      `Cannot ${doing}: counts contradict each other, got ${truePositives} of ${events} events and ${falsePositives} of ${
        n - events
      } others`,
    );
  }
  if (n === 0) return absent("no cases", "There is no case", { cases: 0 });
  const odds = threshold / (1 - threshold);
  const rule = (truePositives - falsePositives * odds) / n;
  const actOnAll = (events - (n - events) * odds) / n;
  return {
    rule,
    actOnAll,
    standardised: events > 0 ? rule / (events / n) : absent("undefined", "There is no event", { cases: n }),
    sparedPerHundred: 100 * (rule - actOnAll) / odds,
  };
}
