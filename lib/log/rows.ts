import type { Machine, SettingsSet } from "./machines.ts";
import type { WordOf } from "./words.ts";

/** What a readings cell was read as: single passes, or a summary of passes that were not written down one by one. */
export type PassKind = "passes" | "range" | "low-usual-high";

/** One readings cell, interpreted, with its silent_ and passes_ columns folded in. */
export interface Passes {
  /** The cell as written. */
  readonly written: string;
  readonly kind: PassKind;
  /** In order, the passes that gave a number. A range holds [low, high], a low-usual-high [low, usual, high]. */
  readonly readings: readonly number[];
  /** Passes that gave no number. */
  readonly silent: number;
  /** All passes, or null where a summary does not say how many there were. */
  readonly passes: number | null;
  /** True where the person marked a number as a rough one ("40ish"). */
  readonly approximate: boolean;
}

export type Discrimination = WordOf<"discrimination">;
export type OutcomeClass = WordOf<"outcome_class">;
export type OutcomeGrade = WordOf<"outcome_grade">;
export type OutcomeStatus = WordOf<"outcome_status">;

/** What came of a signal, by the printed rule. `class` and `grade` are null unless the status is "known". */
export interface Outcome {
  readonly status: OutcomeStatus;
  readonly class: OutcomeClass | null;
  readonly grade: OutcomeGrade | null;
}

/** One object out of a hole. */
export interface Find {
  readonly find_id: string;
  readonly hole_id: string;
  /** 1 for the first object out of the hole, 2 for the next. */
  readonly order: number;
  readonly metal: WordOf<"metal"> | null;
  readonly keep: WordOf<"keep"> | null;
  readonly depth_cm: number | null;
  readonly readings_alone: Passes | null;
  /** Private. Null in published data. */
  readonly what: string | null;
  /** Private. Null in published data. */
  readonly reported: WordOf<"reported"> | null;
}

/** The private facts of a signal. They are never published, and are absent from data read back from a write-up. */
export interface SignalPrivate {
  readonly site_private: boolean;
  readonly seen_at: string | null;
  readonly latitude: number | null;
  readonly longitude: number | null;
  readonly notes: string | null;
}

/** One signal, joined with its outing, its finds and its outcome. Null means "not logged". */
export interface Signal {
  readonly signal_id: string;
  readonly outing_id: string;
  readonly site: string;
  readonly observer: string | null;
  /** YYYY-MM-DD in a person's own log, YYYY-MM in published data. */
  readonly date: string | null;
  readonly settings: string | null;
  readonly machine: string;
  readonly discrimination: Discrimination;
  readonly ground: string | null;
  readonly moisture: string | null;
  /** Passes with the coil going left to right. */
  readonly right: Passes | null;
  /** Passes on the way back. */
  readonly left: Passes | null;
  /** Passes after a quarter turn. */
  readonly cross: Passes | null;
  readonly both_ways: WordOf<"yes_no_not_tried"> | null;
  readonly after_turn: WordOf<"after_turn"> | null;
  readonly spot_moves: WordOf<"yes_no_not_tried"> | null;
  readonly iron_near: WordOf<"iron_near"> | null;
  readonly tone_heard: string | null;
  /** Centimetres, or a word. */
  readonly depth_indicated: number | WordOf<"depth"> | null;
  readonly my_call: WordOf<"my_call"> | null;
  readonly dug: WordOf<"dug">;
  readonly stopped_why: string | null;
  readonly result: WordOf<"result"> | null;
  readonly iron_evidence: WordOf<"iron_evidence"> | null;
  readonly after_dig: WordOf<"after_dig"> | null;
  /** The chance of digging that the person set before deciding, 0 to 1. */
  readonly dig_chance: number | null;
  readonly finds: readonly Find[];
  readonly outcome: Outcome;
  readonly hole_id?: string | null;
  readonly coil_height_cm?: number | null;
  readonly rule_said?: WordOf<"rule_said"> | null;
  readonly rule_version?: string | null;
  readonly outcome_stated?: WordOf<"outcome_stated"> | null;
  /** Absent in published data. */
  readonly kept_private?: SignalPrivate;
}

/** One walk with one machine on one site. */
export interface Outing {
  readonly outing_id: string;
  readonly date: string | null;
  readonly site: string;
  readonly settings: string | null;
  readonly machine: string;
  readonly observer: string | null;
  readonly ground: string | null;
  readonly moisture: string | null;
  readonly balance: number | null;
  readonly coil_height_cm: number | null;
  /** Readings of the same check piece before and after. */
  readonly check_start: Passes | null;
  readonly check_end: Passes | null;
  /** Holes filled by the end; null or absent where nobody wrote it down. */
  readonly holes_filled?: number | null;
}

/** One trial in a test garden. Null means "not logged", except that a null target or neighbour means there was none. */
export interface Trial {
  readonly trial_id: string;
  readonly block: string;
  readonly run_order: number | null;
  /** YYYY-MM-DD in a person's own log, YYYY-MM in published data. */
  readonly date: string | null;
  readonly settings: string | null;
  readonly machine: string;
  readonly discrimination: Discrimination;
  readonly spot: string | null;
  readonly medium: WordOf<"medium"> | null;
  /** Null where no target was laid. */
  readonly target: string | null;
  readonly target_tilt: number | null;
  /** The target's diameter. */
  readonly target_size_mm: number | null;
  readonly depth_cm: number | null;
  readonly coil_height_cm: number | null;
  /** Null where no neighbour was laid. */
  readonly neighbour: string | null;
  readonly neighbour_kind: string | null;
  readonly neighbour_length_mm: number | null;
  readonly neighbour_thickness_mm: number | null;
  readonly neighbour_count: number | null;
  readonly side: WordOf<"side"> | null;
  readonly neighbour_heading_deg: number | null;
  readonly neighbour_tilt_deg: number | null;
  /** Clear distance between nearest edges, in plan. */
  readonly gap_cm: number | null;
  readonly height_difference_cm: number | null;
  readonly right: Passes | null;
  readonly left: Passes | null;
  readonly cross: Passes | null;
  readonly tone_heard: string | null;
  readonly blind: WordOf<"yes_no"> | null;
  /** The target by itself, as written on this row: weaker evidence than a control trial. */
  readonly clean: Passes | null;
  /** The neighbour by itself, as written on this row: weaker evidence than a control trial. */
  readonly neighbourAlone: Passes | null;
}

/** A season: what the dig log holds. */
export interface Season {
  readonly machines: readonly Machine[];
  readonly settings: readonly SettingsSet[];
  readonly signals: readonly Signal[];
  readonly outings?: readonly Outing[];
}

/** A test garden: what the garden log holds. */
export interface Garden {
  readonly machines: readonly Machine[];
  readonly settings: readonly SettingsSet[];
  readonly trials: readonly Trial[];
}
