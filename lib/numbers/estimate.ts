/** The limits of an interval, its level (0..1) and the method that made it, in words. */
export interface Interval {
  readonly low: number;
  readonly high: number;
  readonly level: number;
  readonly method: string;
}

/** What an estimate stands on: a name for each unit counted, and how many there were. */
export type Counts = Readonly<Record<string, number>>;

/** A number that exists. */
export interface Present {
  readonly value: number;
  readonly interval: Interval;
  readonly n: Counts;
}

/** A number that does not exist: `absent` is one or a few words ("never", "too few"), `reason` a sentence. */
export interface Absent {
  readonly absent: string;
  readonly reason: string;
  readonly n: Counts;
}

/** A result: a value with its interval and counts, or its absence with the reason. Never NaN, never null. */
export type Estimate = Present | Absent;

/** Tells whether an estimate has a value. */
export function isPresent(estimate: Estimate): estimate is Present {
  return "value" in estimate;
}

/**
 * Makes an estimate that has a value.
 *
 * Throws RangeError when the value, a limit or a count is not finite: an undefined number is an `absent`.
 *
 * @example
 * ```ts
 * import { present } from "overiron";
 * const share = present(0.25, { low: 0.1, high: 0.5, level: 0.95, method: "Wilson" }, { signals: 12 });
 * if (share.value !== 0.25) throw new Error("wrong");
 * ```
 */
export function present(value: number, interval: Interval, n: Counts): Present {
  for (const [name, number] of Object.entries({ value, low: interval.low, high: interval.high, ...n })) {
    if (!Number.isFinite(number)) {
      throw new RangeError(`Cannot make an estimate: ${name} must be a finite number, got ${number}`);
    }
  }
  return { value, interval, n };
}

/**
 * Makes the estimate of a number that does not exist, with the reason.
 *
 * @example
 * ```ts
 * import { absent, isPresent } from "overiron";
 * if (isPresent(absent("too few", "Two passes cannot show a spread", { passes: 2 }))) throw new Error("wrong");
 * ```
 */
export function absent(word: string, reason: string, n: Counts): Absent {
  return { absent: word, reason, n };
}

/**
 * Makes the estimate of something that was counted, not estimated: its interval is the count itself at level 1.
 *
 * @example
 * ```ts
 * import { counted } from "overiron";
 * if (counted(3, { signals: 3 }).interval.high !== 3) throw new Error("wrong");
 * ```
 */
export function counted(value: number, n: Counts): Present {
  return present(value, { low: value, high: value, level: 1, method: "counted, not estimated" }, n);
}
