import type { Estimate } from "../numbers/mod.ts";
import type { OutcomeClass, OutcomeGrade, OutcomeStatus } from "./rows.ts";

/** What became of the data rows of one file. rows = accepted + rejected + blank + planned, always. */
export interface Account {
  readonly role: string;
  readonly file: string;
  readonly rows: number;
  readonly accepted: number;
  readonly rejected: number;
  readonly blank: number;
  readonly planned: number;
}

/** One broken rule of one row. `rule` never holds the value. */
export interface RowFault {
  readonly file: string;
  /** The physical line of the cell. */
  readonly line: number;
  /** The heading, or null where the row as a whole is at fault. */
  readonly column: string | null;
  /** The field that the column means, or null. */
  readonly field: string | null;
  readonly rule: string;
  readonly value: string;
  /** The word probably meant, or null. */
  readonly nearest: string | null;
}

/** A row that was left out, whole, with every rule it breaks. */
export interface RejectedRow {
  readonly role: string;
  readonly file: string;
  readonly line: number;
  readonly record: number;
  readonly headings: readonly string[];
  readonly cells: readonly string[];
  readonly faults: readonly RowFault[];
}

/** Something taken for granted ("assumption") or legal but odd ("flag"): how often, and where first. */
export interface Remark {
  readonly role: string;
  readonly column: string | null;
  readonly text: string;
  readonly count: number;
  readonly first: { readonly file: string; readonly line: number; readonly value: string };
}

/** A column that was not used, and the field it may have been meant for. */
export interface IgnoredColumn {
  readonly role: string;
  readonly file: string;
  readonly heading: string;
  readonly nearest: string | null;
}

/** How far clean repeats of one machine spread, and the difference that counts as more than that. */
export interface RepeatNoise {
  readonly machine: string;
  /** Pooled standard deviation of clean repeats within one cell, in reading units. */
  readonly spread: Estimate;
  /** Two readings that differ by more than this differ by more than repeats do, in reading units. */
  readonly limit: number;
  /** Which repeats it was measured from, in words. */
  readonly basis: string;
}

/** How many signals have an outcome, by status, class and grade. */
export interface OutcomeCount {
  readonly status: OutcomeStatus;
  readonly class: OutcomeClass | null;
  readonly grade: OutcomeGrade | null;
  readonly count: number;
}

/** All that loading a log found out. It holds file names and values of the log: it is private. */
export interface LoadReport {
  /** What the person said that "38 x 3" means in the readings cells, or null where the rule decided. */
  readonly spacedX: "count" | "silent" | null;
  readonly accounts: readonly Account[];
  readonly rejected: readonly RejectedRow[];
  readonly assumptions: readonly Remark[];
  readonly flags: readonly Remark[];
  readonly ignored: readonly IgnoredColumn[];
  readonly repeatNoise: readonly RepeatNoise[];
  readonly outcomes: readonly OutcomeCount[];
}

/** A load report without file names, headings of unknown columns or values: what a write-up holds. */
export interface PublishedReport {
  readonly schema: "overiron-load-report/1";
  readonly inputs: readonly (Omit<Account, "file"> & {
    /** Accepted rows that are not published, because their site is private. */
    readonly heldBack: number;
  })[];
  /** By role: what "38 x 3" was said to mean in readings cells, or null where the rule decided. */
  readonly spacedX: Readonly<Record<string, "count" | "silent" | null>>;
  readonly rejectedByRule: readonly {
    readonly role: string;
    readonly field: string | null;
    readonly rule: string;
    readonly count: number;
  }[];
  readonly assumptions: readonly Omit<Remark, "first">[];
  readonly flags: readonly Omit<Remark, "first">[];
  readonly ignoredColumns: number;
  readonly outcomeRule: readonly string[];
  readonly repeatNoise: readonly RepeatNoise[];
  readonly outcomes: readonly OutcomeCount[];
}
