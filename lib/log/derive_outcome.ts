import { median } from "../numbers/median.ts";
import type { Outcome, OutcomeClass, OutcomeGrade, Passes, Signal } from "./rows.ts";

/** The facts that an outcome is derived from. */
export type OutcomeFacts = Pick<
  Signal,
  "right" | "left" | "dug" | "stopped_why" | "result" | "iron_evidence" | "outcome_stated" | "finds"
>;

export interface DeriveOutcomeOptions {
  /**
   * Readings that differ by more than this differ by more than the machine's repeats do, in reading units
   * (`measureRepeatNoise`). Null, the default, leaves re-read finds uncompared.
   */
  readonly repeatLimit?: number | null;
}

/** The rule of `deriveOutcome` in words, one step a line, as a page prints it. */
export const OUTCOME_RULE: readonly string[] = [
  "Only a dug signal has an outcome. One not dug, one given up (stopped), a hazard and an empty hole are counted as what they are.",
  "Where the log states an outcome in its own word, that word is taken (grade: as stated).",
  "Ferrous: every object out of the hole is iron (grade: by evidence, the magnet).",
  "Masked good, measured: an object worth keeping that is not all iron was read again alone, and its reading alone differs from the reading before the dig by more than the machine's repeat limit, or there was no number before.",
  "Non-ferrous, measured: such an object was read again alone and does not differ.",
  "Masked good, by evidence: such an object was not read again, and iron touched it or was in the plug.",
  "Non-ferrous, by evidence: the other holes with an object that is not all iron.",
  "Unknown: whatever the facts do not settle. Unknown is counted, and no model learns from it.",
];

/** The numbers by which a cell stands in a comparison: its passes, the ends of a range, the usual of a triple. */
export const standingReadings = (passes: Passes | null): readonly number[] =>
  passes === null ? [] : passes.kind === "low-usual-high" ? [passes.readings[1]!] : passes.readings;

const known = (outcomeClass: OutcomeClass, grade: OutcomeGrade): Outcome => ({
  status: "known",
  class: outcomeClass,
  grade,
});
const only = (status: Outcome["status"]): Outcome => ({ status, class: null, grade: null });

/**
 * Derives the outcome of a signal from its facts, by `OUTCOME_RULE`.
 *
 * Readings are compared by their medians: both directions together before the dig, against the find by itself. The
 * number of cross passes does not enter.
 *
 * Throws RangeError when the repeat limit is negative or not finite.
 *
 * @example
 * ```ts
 * import { deriveOutcome } from "overiron";
 * const facts = { right: null, left: null, dug: "yes", stopped_why: null, result: "found", iron_evidence: "touching", finds: [] } as const;
 * const find = { find_id: "f", hole_id: "h", order: 1, metal: "non-ferrous", keep: "yes", depth_cm: null, readings_alone: null, what: null, reported: null } as const;
 * const outcome = deriveOutcome({ ...facts, finds: [find] });
 * if (outcome.class !== "masked-good" || outcome.grade !== "by-evidence") throw new Error("wrong");
 * if (deriveOutcome(facts).status !== "unknown") throw new Error("wrong");
 * ```
 */
export function deriveOutcome(signal: OutcomeFacts, options: DeriveOutcomeOptions = {}): Outcome {
  const { repeatLimit = null } = options;
  if (repeatLimit !== null && !(repeatLimit >= 0 && Number.isFinite(repeatLimit))) {
    throw new RangeError(`Cannot derive outcome: repeatLimit must be 0 or above, got ${repeatLimit}`);
  }
  const { finds } = signal;
  if (signal.dug === "no") return only("not-dug");
  if (finds.some((find) => find.keep === "hazard") || signal.stopped_why === "hazard") return only("hazard");
  if (signal.dug === "stopped") return only("stopped");

  const stated = signal.outcome_stated ?? null;
  if (stated === "unknown") return only("unknown");
  if (stated !== null) return known(stated, "as-stated");
  if (signal.result === "nothing-found") return only("nothing-found");
  if (signal.result === "not-identified" || finds.length === 0) return only("unknown");

  if (finds.every((find) => find.metal === "ferrous")) return known("ferrous", "by-evidence");
  const notIron = finds.filter((find) => find.metal === "non-ferrous" || find.metal === "both");
  const unsure = finds.filter((find) => find.metal === null || find.metal === "not-sure");
  const good = notIron.filter((find) => find.keep === "yes");

  const before = [...standingReadings(signal.right), ...standingReadings(signal.left)];
  const silentBefore = before.length === 0 && (signal.right?.silent ?? 0) + (signal.left?.silent ?? 0) > 0;
  let same = 0;
  for (const find of good) {
    const alone = standingReadings(find.readings_alone);
    if (repeatLimit === null || alone.length === 0 || (before.length === 0 && !silentBefore)) continue;
    if (silentBefore || Math.abs(median(alone) - median(before)) > repeatLimit) {
      return known("masked-good", "measured");
    }
    same++;
  }
  if (same > 0 && same === good.length) return known("non-ferrous", "measured");

  const ironClose = signal.iron_evidence === "touching" || signal.iron_evidence === "in-plug";
  if (good.length > same && ironClose) return known("masked-good", "by-evidence");
  if (unsure.some((find) => find.keep !== "no")) return only("unknown");
  if (ironClose && notIron.some((find) => find.keep === null)) return only("unknown");
  return notIron.length > 0 ? known("non-ferrous", "by-evidence") : only("unknown");
}
