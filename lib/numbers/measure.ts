import type { Absent, Counts } from "./estimate.ts";

/** A number computed from what was seen, with its counts but without an interval. */
export interface Measured {
  readonly value: number;
  readonly n: Counts;
}

/** A plain number, or its absence with the reason: a building block from which an `Estimate` may be made. */
export type Measure = Measured | Absent;

/**
 * Makes a measure that has a value.
 *
 * Throws RangeError when the value is not finite: an undefined number is an `absent`.
 *
 * @example
 * ```ts
 * import { measured } from "overiron";
 * if (measured(0.5, { signals: 4 }).value !== 0.5) throw new Error("wrong");
 * ```
 */
export function measured(value: number, n: Counts): Measured {
  if (!Number.isFinite(value)) {
    throw new RangeError(`Cannot make a measure: value must be a finite number, got ${value}`);
  }
  return { value, n };
}

/**
 * Tells whether a measure has a value.
 *
 * @example
 * ```ts
 * import { isMeasured, measured } from "overiron";
 * if (!isMeasured(measured(0.5, { signals: 4 }))) throw new Error("wrong");
 * ```
 */
export function isMeasured(measure: Measure): measure is Measured {
  return "value" in measure;
}
