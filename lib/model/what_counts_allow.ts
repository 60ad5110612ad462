import { outcomeCountsOf, OUTCOMES } from "./classifier.ts";

/** Fewest cases of an outcome for an engine to learn it. */
export const LEAST_CASES = 20;

/** What a log of so many dug signals can carry. */
export interface Allowance {
  /** "three": all outcomes; "two": worth a hole against ferrous; "rules": the simple rules only; "none": nothing to learn. */
  readonly classes: "three" | "two" | "rules" | "none";
  readonly counts: readonly [number, number, number];
  /** One sentence with the counts and what is needed. */
  readonly reason: string;
}

/**
 * Tells how many outcomes a log's counts can carry, before any score is shown.
 *
 * Three outcomes need 20 dug signals of each: with 20 cases the 95 % interval of a recall of one half runs from 30 to 70 %
 * (Wilson 1927) even if they are all unlike, and with a dozen it says nothing. With fewer masked goods, or fewer other goods, the two
 * are taken together, and 20 of those and 20 ferrous are needed; below that only rules that learn a share or two an answer
 * are offered. `outcome` is 0, 1 or 2 a dug signal.
 *
 * @example
 * ```ts
 * import { whatCountsAllow } from "overiron";
 * const outcome = Uint8Array.from({ length: 100 }, (_, i) => i < 60 ? 0 : i < 95 ? 1 : 2);
 * if (whatCountsAllow(outcome).classes !== "two") throw new Error("five masked goods carry no class of their own");
 * ```
 */
export function whatCountsAllow(outcome: Uint8Array): Allowance {
  const counts = outcomeCountsOf(outcome);
  const [ferrous, plain, masked] = counts;
  const held = `${ferrous} ${OUTCOMES[0]}, ${plain} ${OUTCOMES[1]} and ${masked} masked good`;
  if (counts.filter((count) => count > 0).length < 2) {
    return {
      classes: "none",
      counts,
      reason: `Two outcomes are needed to learn anything; the log holds ${held}`,
    };
  }
  if (ferrous >= LEAST_CASES && plain >= LEAST_CASES && masked >= LEAST_CASES) {
    return {
      classes: "three",
      counts,
      reason: `The log holds ${held}: enough for three outcomes (${LEAST_CASES} of each)`,
    };
  }
  if (ferrous >= LEAST_CASES && plain + masked >= LEAST_CASES) {
    return {
      classes: "two",
      counts,
      reason:
        `The log holds ${held}: under ${LEAST_CASES} of an outcome cannot carry a class of its own, so the models tell only what is ` +
        `worth a hole from ferrous, and share the rest out as the log does`,
    };
  }
  return {
    classes: "rules",
    counts,
    reason:
      `The log holds ${held}: models need ${LEAST_CASES} ferrous and ${LEAST_CASES} others, so only the simple rules are offered`,
  };
}
