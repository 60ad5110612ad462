import { median } from "../numbers/median.ts";
import { Remarks } from "./apply_schema.ts";
import { standingReadings } from "./derive_outcome.ts";
import type { Machine } from "./machines.ts";
import { growingPasses } from "./_growing_passes.ts";
import type { Remark } from "./report.ts";
import type { Passes, Trial } from "./rows.ts";

/** The sentences that `findSuspiciousTrials` may say. None holds a value of the log. */
export const SUSPICIOUS_TRIALS = {
  allEqual: "All readings of a trial, six or more, are equal: was one number copied for every pass?",
  roundGaps:
    "All gaps, ten or more and of three lengths at least, are multiples of five centimetres: were they guessed?",
  roundDepths:
    "All depths of targets, ten or more and three at least that differ, are multiples of five centimetres: were they guessed?",
  sameMinute:
    "Two trials were made at one spot with one machine in the same minute: is one of them the other?",
  sameOrder: "Two trials of one block, day, machine and settings have one run_order",
  noClean: "A target lay beside a neighbour but was never read alone at that depth: no drift can come of it",
  noNeighbour: "A neighbour lay beside a target but was never read alone: no drag can come of it",
  cleanBelow: "Alone, a target reads lower than the neighbour that lay beside it: were the two swapped?",
  passesGrow:
    "The passes grow in number with the reading: did the person sweep longer where it sounded good?",
  twoSizes: "Objects of one name have two sizes: are they two objects?",
  loneGap: "A gap stands where target and neighbour did not lie together",
} as const;

export interface FindSuspiciousTrialsOptions {
  /** Where a trial stands in its file, by its index. */
  readonly place: (index: number) => { readonly file: string; readonly line: number };
  /** The machines: readings at an end of their scales are equal often, and are passed over. Default: none are known. */
  readonly machines?: readonly Machine[];
  /** When a trial was made as the log has it, by its index: day and time. Default: nothing is known of the time. */
  readonly triedAt?: (index: number) => string | null;
}

const FEWEST_EQUAL = 6;
const FEWEST_ROUND = 10, FEWEST_LENGTHS = 3;

type Add = (index: number, column: string | null, text: string, value: string) => void;

const groupOf = ({ machine, settings, discrimination }: Trial): string =>
  JSON.stringify([machine, settings, discrimination]);
const bothWays = ({ right, left }: Trial): readonly Passes[] => [right, left].filter((cell) => cell !== null);

function equalReadings(trials: readonly Trial[], machines: readonly Machine[], add: Add): void {
  const ends = new Map(machines.map(({ machine, scale }) => [machine, [scale.low, scale.high]]));
  trials.forEach((trial, index) => {
    const cells = bothWays(trial);
    const readings = cells.flatMap(standingReadings);
    if (
      cells.every(({ kind }) => kind === "passes") && readings.length >= FEWEST_EQUAL &&
      readings.every((reading) => reading === readings[0]) &&
      !(ends.get(trial.machine)?.includes(readings[0]!) ?? false)
    ) {
      add(
        index,
        "readings_right",
        SUSPICIOUS_TRIALS.allEqual,
        cells.map(({ written }) => written).join(" | "),
      );
    }
  });
}

function roundLengths(trials: readonly Trial[], add: Add): void {
  for (
    const [column, text] of [
      ["gap_cm", SUSPICIOUS_TRIALS.roundGaps],
      ["depth_cm", SUSPICIOUS_TRIALS.roundDepths],
    ] as const
  ) {
    const logged = trials.flatMap((trial, index) =>
      trial[column] === null ? [] : [{ index, length: trial[column] }]
    );
    if (
      logged.length < FEWEST_ROUND || new Set(logged.map(({ length }) => length)).size < FEWEST_LENGTHS ||
      !logged.every(({ length }) => length % 5 === 0)
    ) continue;
    for (const { index, length } of logged) add(index, column, text, String(length));
  }
}

function sameOccasion(
  trials: readonly Trial[],
  triedAt: (index: number) => string | null,
  add: Add,
): void {
  const minutes = new Set<string>(), orders = new Set<string>();
  trials.forEach((trial, index) => {
    const minute = /^\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}/.exec(triedAt(index) ?? "")?.[0];
    if (minute !== undefined) {
      const key = JSON.stringify([minute.replace(" ", "T"), trial.spot, groupOf(trial)]);
      if (minutes.has(key)) add(index, "tried_at", SUSPICIOUS_TRIALS.sameMinute, minute);
      minutes.add(key);
    }
    if (trial.run_order !== null) {
      // A trial without a block is one of its own, and says nothing of what was made in one go.
      const block = trial.block === `trial ${trial.trial_id}` ? null : trial.block;
      if (block === null && trial.date === null) return;
      const key = JSON.stringify([block, trial.date, groupOf(trial), trial.run_order]);
      if (orders.has(key)) add(index, "run_order", SUSPICIOUS_TRIALS.sameOrder, String(trial.run_order));
      orders.add(key);
    }
  });
}

/** The readings of objects alone, from trials of their own and from what rows say beside others. */
function aloneReadings(trials: readonly Trial[]) {
  const targets = new Map<string, number[]>(), neighbours = new Map<string, number[]>();
  const targetKey = (trial: Trial): string => JSON.stringify([groupOf(trial), trial.target, trial.depth_cm]);
  const neighbourKey = (trial: Trial): string => JSON.stringify([groupOf(trial), trial.neighbour]);
  const addAll = (lists: Map<string, number[]>, key: string, cells: readonly Passes[]): void => {
    if (cells.length === 0) return;
    const known = lists.get(key) ?? [];
    known.push(...cells.flatMap(standingReadings));
    lists.set(key, known);
  };
  for (const trial of trials) {
    if (trial.target !== null) {
      const own = trial.neighbour === null ? bothWays(trial) : [];
      addAll(targets, targetKey(trial), trial.clean === null ? own : [...own, trial.clean]);
    }
    if (trial.neighbour !== null) {
      const own = trial.target === null ? bothWays(trial) : [];
      addAll(
        neighbours,
        neighbourKey(trial),
        trial.neighbourAlone === null ? own : [...own, trial.neighbourAlone],
      );
    }
  }
  return {
    target: (trial: Trial) => targets.get(targetKey(trial)),
    neighbour: (trial: Trial) => neighbours.get(neighbourKey(trial)),
  };
}

function missingControls(trials: readonly Trial[], add: Add): void {
  const alone = aloneReadings(trials);
  const pairs = new Set<string>();
  trials.forEach((trial, index) => {
    const { target, neighbour } = trial;
    if (target === null || neighbour === null) {
      if (trial.gap_cm !== null) add(index, "gap_cm", SUSPICIOUS_TRIALS.loneGap, String(trial.gap_cm));
      return;
    }
    const ofTarget = alone.target(trial), ofNeighbour = alone.neighbour(trial);
    if (ofTarget === undefined) add(index, "target", SUSPICIOUS_TRIALS.noClean, target);
    if (ofNeighbour === undefined) add(index, "neighbour", SUSPICIOUS_TRIALS.noNeighbour, neighbour);
    // Silent passes alone leave nothing to compare.
    if (!ofTarget?.length || !ofNeighbour?.length) return;
    const clean = median(ofTarget), other = median(ofNeighbour);
    const pair = JSON.stringify([groupOf(trial), target, neighbour, trial.depth_cm]);
    if (clean < other && !pairs.has(pair)) {
      pairs.add(pair);
      add(index, "target", SUSPICIOUS_TRIALS.cleanBelow, `${clean} and ${other}`);
    }
  });
}

function differingSizes(trials: readonly Trial[], add: Add): void {
  for (
    const [name, sizes] of [
      ["target", ["target_size_mm"]],
      ["neighbour", ["neighbour_length_mm", "neighbour_thickness_mm"]],
    ] as const
  ) {
    for (const size of sizes) {
      const known = new Map<string, number>();
      trials.forEach((trial, index) => {
        const object = trial[name], length = trial[size];
        if (object === null || length === null) return;
        const before = known.get(object);
        if (before === undefined) known.set(object, length);
        else if (before !== length) add(index, size, SUSPICIOUS_TRIALS.twoSizes, `${before} and ${length}`);
      });
    }
  }
}

/**
 * Finds what is legal in a garden log but odd. Nothing is changed: each remark is a question to the person, counted, with
 * where it was met first.
 *
 * Machines, settings sets and discrimination are never pooled. An object counts as read alone where a trial of it alone
 * has a cell of readings, or a row has its clean_readings or neighbour_readings; a target only at its own depth. A pair
 * whose target reads lower counts once. Growth of passes is looked for from 30 trials on, by Spearman's rank correlation
 * of the median reading and the number of passes, beyond a one-sided 0.001.
 *
 * @example
 * ```ts
 * import { findSuspiciousTrials } from "overiron";
 * if (findSuspiciousTrials([], { place: () => ({ file: "log.csv", line: 1 }) }).length !== 0) throw new Error("wrong");
 * ```
 */
export function findSuspiciousTrials(
  trials: readonly Trial[],
  options: FindSuspiciousTrialsOptions,
): readonly Remark[] {
  const { place, machines = [], triedAt = () => null } = options;
  const remarks = new Remarks();
  const add: Add = (index, column, text, value) =>
    void remarks.add("garden-log", column, text, () => ({ ...place(index), value }));
  equalReadings(trials, machines, add);
  roundLengths(trials, add);
  sameOccasion(trials, triedAt, add);
  missingControls(trials, add);
  const swept = trials.map((trial) => ({ group: groupOf(trial), right: trial.right, left: trial.left }));
  for (const { index, value } of growingPasses(swept)) {
    add(index, "readings_right", SUSPICIOUS_TRIALS.passesGrow, value);
  }
  differingSizes(trials, add);
  return remarks.list();
}
