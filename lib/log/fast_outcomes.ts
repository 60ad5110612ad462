import { deriveOutcome } from "./derive_outcome.ts";
import type { PassesTable } from "./fast_readings.ts";
import { FIND_PARTS, FIND_PLACE, type SignalTable } from "./fast_signal_table.ts";
import type { Find, Outcome, OutcomeClass, OutcomeGrade, Passes } from "./rows.ts";

const known = (outcomeClass: OutcomeClass, grade: OutcomeGrade): Outcome => ({
  status: "known",
  class: outcomeClass,
  grade,
});
const only = (status: Outcome["status"]): Outcome => ({ status, class: null, grade: null });

/** Every outcome that there is. */
export const OUTCOMES: readonly Outcome[] = [
  only("not-dug"),
  only("hazard"),
  only("stopped"),
  only("unknown"),
  only("nothing-found"),
  known("ferrous", "by-evidence"),
  known("masked-good", "measured"),
  known("non-ferrous", "measured"),
  known("masked-good", "by-evidence"),
  known("non-ferrous", "by-evidence"),
  known("ferrous", "as-stated"),
  known("non-ferrous", "as-stated"),
  known("masked-good", "as-stated"),
].map((outcome) => Object.freeze(outcome));
const NOT_DUG = 0, HAZARD = 1, STOPPED = 2, UNKNOWN = 3, EMPTY = 4;
const IRON = 5, MASKED_MEASURED = 6, GOOD_MEASURED = 7, MASKED = 8, GOOD = 9;
/** The first of the outcomes as stated. */
export const STATED = 10;

export const outcomeNumber = (outcome: Outcome): number =>
  OUTCOMES.findIndex((each) =>
    each.status === outcome.status && each.class === outcome.class && each.grade === outcome.grade
  );

/** The numbers by which a cell stands in a comparison, put into `out` from `at` on in rising order. */
function addStanding(passes: PassesTable, cell: number, out: Float64Array, at: number): number {
  if (cell === 0) return at;
  const triple = (passes.kinds[cell]! & 3) === 2;
  const start = passes.starts[cell]! + (triple ? 1 : 0), end = triple ? start + 1 : passes.starts[cell + 1]!;
  for (let i = start; i < end; i++) {
    const value = passes.readings[i]!;
    let k = at++;
    while (k > 0 && out[k - 1]! > value) {
      out[k] = out[k - 1]!;
      k--;
    }
    out[k] = value;
  }
  return at;
}

const middle = (sorted: Float64Array, length: number): number => {
  const half = length >> 1;
  return length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
};

/**
 * Makes the function that gives the number in `OUTCOMES` of a row's outcome: `deriveOutcome` on columns. `without` tells
 * it to pass over the stated outcome.
 */
export function outcomeFinder(
  found: SignalTable,
  limitOf: (row: number) => number | null,
): (row: number, without?: boolean) => number {
  const { codes, words, cells, passes, finds, findWords } = found;
  const parts = FIND_PARTS.length;
  const code = (name: "dug" | "stopped_why" | "outcome_stated" | "result" | "iron_evidence", value: string) =>
    words[name].codeOfValue(value);
  const no = code("dug", "no"), stopped = code("dug", "stopped"), hazard = code("stopped_why", "hazard");
  const stated = [
    code("outcome_stated", "ferrous"),
    code("outcome_stated", "non-ferrous"),
    code("outcome_stated", "masked-good"),
  ];
  const unknown = code("outcome_stated", "unknown");
  const nothing = code("result", "nothing-found"), unidentified = code("result", "not-identified");
  const touching = code("iron_evidence", "touching"), inPlug = code("iron_evidence", "in-plug");
  const { metal: METAL, keep: KEEP, readings_alone: ALONE } = FIND_PLACE;
  const metal = (value: string): number => findWords.metal.codeOfValue(value);
  const ferrous = metal("ferrous"),
    nonFerrous = metal("non-ferrous"),
    both = metal("both"),
    unsure = metal("not-sure");
  const keep = (value: string): number => findWords.keep.codeOfValue(value);
  const keepYes = keep("yes"), keepNo = keep("no"), keepHazard = keep("hazard");
  const before = new Float64Array(1024), alone = new Float64Array(1024);

  return (row, without = false) => {
    const dug = codes.dug[row]!;
    if (dug === no) return NOT_DUG;
    const start = found.findStarts[row]! * parts, end = start + found.findCounts[row]! * parts;
    for (let at = start; at < end; at += parts) if (finds[at + KEEP] === keepHazard) return HAZARD;
    if (codes.stopped_why !== null && codes.stopped_why[row] === hazard) return HAZARD;
    if (dug === stopped) return STOPPED;
    const says = without || codes.outcome_stated === null ? 0 : codes.outcome_stated[row]!;
    if (says === unknown) return UNKNOWN;
    if (says !== 0) return STATED + stated.indexOf(says);
    const result = codes.result === null ? 0 : codes.result[row]!;
    if (result === nothing) return EMPTY;
    if (result === unidentified || start === end) return UNKNOWN;

    let irons = 0, notIron = 0, good = 0, unsureKept = false, notIronUnsaid = false;
    for (let at = start; at < end; at += parts) {
      const what = finds[at + METAL]!, kept = finds[at + KEEP]!;
      if (what === ferrous) irons++;
      else if (what === nonFerrous || what === both) {
        notIron++;
        if (kept === keepYes) good++;
        if (kept === 0) notIronUnsaid = true;
      } else if ((what === 0 || what === unsure) && kept !== keepNo) unsureKept = true;
    }
    if (irons * parts === end - start) return IRON;
    let same = 0;
    if (good > 0) {
      const right = cells.right?.[row] ?? 0, left = cells.left?.[row] ?? 0;
      const many = addStanding(passes, left, before, addStanding(passes, right, before, 0));
      const silent = many === 0 &&
        (right === 0 ? 0 : passes.silent[right]!) + (left === 0 ? 0 : passes.silent[left]!) > 0;
      const limit = limitOf(row);
      if (limit !== null && (many > 0 || silent)) {
        const middleBefore = many > 0 ? middle(before, many) : 0;
        for (let at = start; at < end; at += parts) {
          const what = finds[at + METAL]!;
          if ((what !== nonFerrous && what !== both) || finds[at + KEEP] !== keepYes) continue;
          const count = addStanding(passes, finds[at + ALONE]!, alone, 0);
          if (count === 0) continue;
          if (silent || Math.abs(middle(alone, count) - middleBefore) > limit) return MASKED_MEASURED;
          same++;
        }
      }
      if (same > 0 && same === good) return GOOD_MEASURED;
    }
    const evidence = codes.iron_evidence === null ? 0 : codes.iron_evidence[row]!;
    const ironClose = evidence !== 0 && (evidence === touching || evidence === inPlug);
    if (good > same && ironClose) return MASKED;
    if (unsureKept || (ironClose && notIronUnsaid)) return UNKNOWN;
    return notIron > 0 ? GOOD : UNKNOWN;
  };
}

/** `deriveOutcome` for a signal whose finds are not its own row's alone, as a number in `OUTCOMES`. */
export function sharedOutcome(
  found: SignalTable,
  row: number,
  facts: {
    readonly dug: "no" | "yes" | "stopped";
    readonly finds: readonly Find[];
    readonly limit: number | null;
    readonly without?: boolean;
  },
): number {
  const value = (name: "stopped_why" | "result" | "iron_evidence" | "outcome_stated") =>
    found.words[name].values[found.codes[name]?.[row] ?? 0] as never;
  const passes = (name: "right" | "left"): Passes | null => found.passes.get(found.cells[name]?.[row] ?? 0);
  return outcomeNumber(deriveOutcome({
    right: passes("right"),
    left: passes("left"),
    dug: facts.dug,
    stopped_why: value("stopped_why"),
    result: value("result"),
    iron_evidence: value("iron_evidence"),
    outcome_stated: facts.without === true ? null : value("outcome_stated"),
    finds: facts.finds,
  }, { repeatLimit: facts.limit }));
}
