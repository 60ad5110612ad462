import { type Estimate, normalQuantile } from "../numbers/mod.ts";

/** What to do with signals that one would pass by, at a worth of a good signal in holes. */
export interface DigOneIn {
  /**
   * "dig them": they pay on average; "pass": they do not, and a few holes a season keep it so; "learn": the holes so far cannot
   * tell.
   */
  readonly advice: "dig them" | "pass" | "learn";
  /** Dig one in so many of those passed by; 1 is all of them. */
  readonly oneIn: number;
  /** Holes that this would have cost among the signals passed by. */
  readonly holes: number;
  /** Whether that many signals were not even passed by: more than this season is needed. */
  readonly moreThanPassed: boolean;
}

/**
 * Tells how many of the signals one would pass by to dig all the same, so that the holes can show whether passing is right.
 *
 * `share` is the share of good signals among those that were dug although one would have passed them by; `dug` is how
 * many those are, `passed` how many were not dug. A hole pays where the chance of something good is one over `worth` or more. Where the interval of the share
 * lies on one side of that, the answer is known, and on the low side one digs just as many as would show a rise above it (the
 * fewest holes without a good find whose Wilson upper limit lies below one over the worth). Where it does not, one digs what
 * would part the share from one over the worth, less what has been dug; all of them where that is more than were passed.
 *
 * The advice never holds for a signal with a STOP sign, along a service, on protected ground or outside a permission. Throws
 * RangeError for a worth of 1 or below, or a count that is not whole.
 *
 * @example
 * ```ts
 * import { digOneIn, present } from "overiron";
 * const interval = { low: 0.02, high: 0.08, level: 0.95, method: "example" };
 * const share = present(0.04, interval, { holes: 120 });
 * const { advice, oneIn } = digOneIn(share, { passed: 200, dug: 120, worth: 5 });
 * if (advice !== "pass" || oneIn !== 12) throw new Error(`${advice} ${oneIn}`);
 * ```
 */
export function digOneIn(
  share: Estimate,
  options: { readonly passed: number; readonly dug: number; readonly worth: number },
): DigOneIn {
  const { passed, dug, worth } = options;
  if (!(worth > 1 && worth < Infinity)) {
    throw new RangeError(`Cannot advise: a good signal must be worth more than 1 hole, got ${worth}`);
  }
  for (const [name, count] of [["passed", passed], ["dug", dug]] as const) {
    if (!(Number.isInteger(count) && count >= 0)) {
      throw new RangeError(`Cannot advise: signals ${name} must be a whole number, got ${count}`);
    }
  }
  const pays = 1 / worth, level = "value" in share ? share.interval.level : 0.95;
  const z = normalQuantile((1 + level) / 2);
  // Wilson's upper limit of none in n is z^2 / (n + z^2).
  const withoutAny = Math.floor(z ** 2 * (worth - 1)) + 1;
  const outOf = (advice: DigOneIn["advice"], holes: number): DigOneIn => ({
    advice,
    holes: Math.min(holes, passed),
    oneIn: holes >= passed || holes === 0 ? 1 : Math.floor(passed / holes),
    moreThanPassed: holes > passed,
  });
  if (!("value" in share)) return outOf("learn", withoutAny);
  const { value, interval: { low, high } } = share;
  if (low >= pays) return { ...outOf("dig them", passed), moreThanPassed: false };
  if (high < pays) return outOf("pass", withoutAny);
  const variance = Math.max(value * (1 - value), pays * (1 - pays));
  const needed = Math.ceil(z ** 2 * variance / Math.max((value - pays) ** 2, 1e-9)) - dug;
  return outOf("learn", Math.max(needed, withoutAny));
}
