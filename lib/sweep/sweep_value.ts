/** Why a sweep feature is missing: no pass gave a number, too few did, or nothing was logged. */
export type WhyAbsent = "silent" | "too-few-passes" | "not-logged";

/** A sweep feature that exists. `standardError` is in the feature's own unit, or null where it has none. */
export interface SweepNumber {
  readonly value: number;
  readonly standardError: number | null;
}

/** A sweep feature that does not exist, with the reason in a word and in a sentence. */
export interface SweepAbsent {
  readonly absent: WhyAbsent;
  readonly reason: string;
}

/** One feature of a signal's sweep: a number or a typed absence, never NaN. */
export type SweepValue = SweepNumber | SweepAbsent;

/**
 * Tells whether a sweep feature has a value.
 *
 * @example
 * ```ts
 * import { hasValue } from "overiron";
 * if (hasValue({ absent: "silent", reason: "No pass gave a number" })) throw new Error("wrong");
 * ```
 */
export function hasValue(feature: SweepValue): feature is SweepNumber {
  return "value" in feature;
}
