import type { OutOfFold } from "./cross_validate.ts";
import { type Recalibration, recalibration } from "./recalibration.ts";
import type { TableStudy } from "./study_table.ts";

/** Asked for by the dig rules, the curve, the sets and the predictions alike: worked out once. */
const known = new WeakMap<OutOfFold, Recalibration>();

/**
 * Tells whether the chances of an engine of a study are better corrected (see `recalibration`), on the study's own folds; where goods are
 * taken together, so does the correction. Null where the engine gave no chances.
 *
 * @example
 * ```ts
 * import { studyRecalibration, studyTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * if (studyRecalibration(await studyTable(table, { seed: 1 }), "forest") !== null) throw new Error("chances from nothing");
 * ```
 */
export function studyRecalibration(study: TableStudy, engine: string): Recalibration | null {
  const { outOfFold, table, folds, group, groups, allowance } = study;
  const found = outOfFold.find(({ name }) => name === engine);
  if (found?.kind !== "predicted" || folds.kind !== "folds") return null;
  let made = known.get(found);
  if (made === undefined) {
    const classes = allowance.classes === "three" ? 3 : 2;
    made = recalibration(found.probabilities, table.outcome, { fold: folds.of, group, groups, classes });
    known.set(found, made);
  }
  return made;
}

/**
 * Gives the chances of an engine that dig rules, sets and predictions go by: those of models that had not seen the signal's site. Where a
 * correction helps (see `studyRecalibration`) they are corrected fold by fold, as the other folds alone speak for it; else they are the
 * engine's own, as in a rule learnt from all signals. Null where the engine gave none.
 *
 * @example
 * ```ts
 * import { chancesToUse, studyTable } from "overiron";
 * const none = new Int32Array(0);
 * const tones = { name: "one", kind: "bands" as const, breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] };
 * const machine = { machine: "Machine A", scale: { low: 0, high: 600, step: 1 }, iron_break: 150, tones };
 * const x = { n: 0, names: ["centre"], columns: [new Float64Array(0)], whyMissing: [new Uint8Array(0)], groups: { site: none, outing: none, observer: none } };
 * const leftOut = { unknown: 0, "nothing-found": 0, stopped: 0, hazard: 0, "not-dug": 0 };
 * const table = { machine, discrimination: "none" as const, signals: [], x, outcome: new Uint8Array(0), leftOut };
 * if (chancesToUse(await studyTable(table, { seed: 1 }), "forest") !== null) throw new Error("chances from nothing");
 * ```
 */
export function chancesToUse(study: TableStudy, engine: string): Float64Array | null {
  const found = studyRecalibration(study, engine);
  return found === null ? null : found.helps ? found.used : found.plain;
}
