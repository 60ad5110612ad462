/** The way the coil went: left to right, or back. */
export type Direction = "right" | "left";

/**
 * Where the reading of one object alone comes from, strongest first. All but "same block" are weaker evidence: a control of the
 * same block laid otherwise (another heading, tilt, count or medium), of other blocks of the same machine and settings, or a number
 * written on the trial's own row. All but the last have the trial's depth and coil height.
 */
export type Evidence =
  | "same block"
  | "same block, laid otherwise"
  | "other blocks"
  | "other blocks, laid otherwise"
  | "written on the row";

/** A target and a neighbour as they were laid: trials of one pair differ in gap, depth and block only. */
export interface LaidPair {
  /** Tells pairs apart; not for showing. */
  readonly key: string;
  /** Pairs with one group share machine, settings, target, coil height and medium. */
  readonly group: string;
  readonly machine: string;
  readonly target: string;
  readonly neighbour: string;
  /** What sort of thing the neighbour is, as logged; null where it is not. */
  readonly kind: string | null;
  /** Machine, target and neighbour, and whatever else is needed to tell this pair from the others of the garden. */
  readonly of: Readonly<Record<string, string>>;
  /** The smallest step of the machine's display, in reading units, or null for a machine that is not described. */
  readonly step: number | null;
  /** Distance between centres where the edges touch; null where sizes are not logged: the curve then uses the gap alone. */
  readonly touching_cm: number | null;
  /** Trials laid, with or without a usable reading. */
  readonly trials: number;
}

/** What a neighbour did to one trial's reading in one direction. Readings, drift in reading units. */
export interface TrialDrift {
  readonly trial_id: string;
  readonly block: string;
  readonly pair: string;
  readonly direction: Direction;
  readonly gap_cm: number;
  readonly depth_cm: number | null;
  /** Median of the passes that gave a number. */
  readonly reading: number;
  readonly passes: number;
  /** Passes that gave no number, beside those that did. */
  readonly silent: number;
  readonly clean: number;
  readonly cleanFrom: Evidence;
  /** The neighbour by itself, or null where nobody read it. */
  readonly neighbourReading: number | null;
  readonly neighbourFrom: Evidence | null;
  /** Clean reading minus the reading together. */
  readonly drift: number;
  /** Drift over (clean minus the neighbour's reading): 0 reads as clean, 1 as the neighbour. Null with the reason beside it. */
  readonly drag: number | null;
  readonly noDrag: string | null;
}

/** A trial, or one direction of it, that gives no drift, and why. */
export interface SetAside {
  readonly trial_id: string;
  readonly pair: string | null;
  readonly direction: Direction | "both";
  readonly reason: string;
}

/** A trial and direction in which every pass was silent: counted, never a reading. */
export interface SilentTrial {
  readonly trial_id: string;
  readonly block: string;
  readonly pair: string;
  readonly direction: Direction;
  readonly gap_cm: number;
  readonly depth_cm: number | null;
  /** Passes that gave no number. */
  readonly silent: number;
  /** The readings alone that belong to it; null where there are none to measure a drag by. */
  readonly controls: {
    readonly clean: number;
    readonly cleanFrom: Evidence;
    readonly neighbourReading: number;
    readonly neighbourFrom: Evidence;
  } | null;
}

/** How many trials of each sort a garden holds. */
export interface GardenCounts {
  readonly trials: number;
  readonly blocks: number;
  /** Trials with a target and a neighbour. */
  readonly together: number;
  readonly targetAlone: number;
  readonly neighbourAlone: number;
  /** Trials with neither: they are counted and used for nothing. */
  readonly empty: number;
}

/** Everything that the trials of a garden say about drift, and what was left out of it. */
export interface GardenDrift {
  readonly pairs: readonly LaidPair[];
  readonly rows: readonly TrialDrift[];
  readonly silent: readonly SilentTrial[];
  readonly setAside: readonly SetAside[];
  /** Interquartile range (type 7) of the readings of each group's target alone about each trial and direction's median; by group. */
  readonly cleanSpread: ReadonlyMap<string, number>;
  readonly counts: GardenCounts;
  /** What a reader must know of the log: blocks that are single trials, blanks filled, gaps that look like two units. */
  readonly notes: readonly string[];
}
