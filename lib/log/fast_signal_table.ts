import type { Applied } from "./apply_schema.ts";
import type { PassesTable } from "./fast_readings.ts";
import type { CutTable } from "./fast_table.ts";
import type { WordTable } from "./fast_words.ts";
import type { MachineOfRow } from "./_machine_of_row.ts";

/** The parts of a find, in the order in which a row of `finds` holds their codes. */
export const FIND_PARTS = [
  "find_id",
  "what",
  "metal",
  "keep",
  "depth_cm",
  "readings_alone",
  "reported",
] as const;
export type FindPart = typeof FIND_PARTS[number];

/** Where each part of a find stands among them. */
export const FIND_PLACE = Object.fromEntries(FIND_PARTS.map((part, i) => [part, i])) as Readonly<
  Record<FindPart, number>
>;

/** The fields of a signal and its outing that are kept as codes. */
export const CODED = [
  "outing_id",
  "date",
  "site",
  "site_private",
  "observer",
  "ground",
  "moisture",
  "balance",
  "coil_height_cm",
  "holes_filled",
  "seen_at",
  "both_ways",
  "after_turn",
  "spot_moves",
  "iron_near",
  "tone_heard",
  "depth_indicated",
  "my_call",
  "rule_said",
  "rule_version",
  "dig_chance",
  "latitude",
  "longitude",
  "dug",
  "stopped_why",
  "hole_id",
  "result",
  "iron_evidence",
  "after_dig",
  "outcome_stated",
] as const;
export type CodedName = typeof CODED[number];

/** The readings that a signal and its outing hold, as numbers of cells in a `PassesTable`. */
export const PASSES = ["right", "left", "cross", "check_start", "check_end"] as const;
export type PassesName = typeof PASSES[number];

/** The accepted signals of a log in columns, by data row; rows not accepted hold nothing. */
export interface SignalTable extends Omit<Applied<unknown>, "rows" | "records"> {
  readonly table: CutTable;
  /** The data row of each accepted signal, from 0. */
  readonly rows: Uint32Array;
  readonly count: number;
  signalId(row: number): string;
  /** Whether an accepted signal has the id. */
  hasId(id: string): boolean;
  notes(row: number): string | null;
  readonly words: Readonly<Record<CodedName, WordTable>>;
  /** Null where the log has no such column. */
  readonly codes: Readonly<Record<CodedName, Int32Array | null>> & { readonly dug: Int32Array };
  readonly passes: PassesTable;
  readonly cells: Readonly<Record<PassesName, Int32Array | null>>;
  /** Which of `machinesOf` a signal has. */
  readonly of: Int32Array;
  readonly machinesOf: readonly MachineOfRow[];
  /** By row: the first of its finds, and how many it has. */
  readonly findStarts: Int32Array;
  readonly findCounts: Uint8Array;
  /** The codes of `FIND_PARTS`, find after find; for readings_alone the number of its cell. */
  readonly finds: Int32Array;
  readonly findWords: Readonly<Record<FindPart, WordTable>>;
  /** Rows, rejected ones among them, in which anything but "no" stands in site_private. */
  readonly marked: readonly number[];
}
