import type { MappingPatch } from "./amend_mapping.ts";
import type { ColumnFacts } from "./_column_facts.ts";
import type { MachinesFile } from "./machines.ts";
import { type ColumnMapping, type MappedColumn, mappedField, type MappedTableName } from "./mapping.ts";

/** Something about a log that two answers fit: it is asked, never guessed. */
export interface MappingQuestion {
  /** What it is about; no two open questions share it. */
  readonly id: string;
  /** The heading that it is about, or null. */
  readonly heading: string | null;
  readonly text: string;
  /** Cells of the log that show what is meant. */
  readonly samples: readonly string[];
  readonly options: readonly { readonly label: string; readonly patch: MappingPatch }[];
  /** A field whose value, the same in every row, may be typed as the answer. */
  readonly constant?: string;
}

/** Why a heading was taken for a field, or left out. */
export interface MappingReason {
  readonly heading: string | null;
  readonly field: string | null;
  readonly text: string;
  readonly samples: readonly string[];
}

/** A mapping as far as it can be told without asking. */
export interface MappingProposal {
  readonly mapping: ColumnMapping;
  readonly questions: readonly MappingQuestion[];
  readonly reasons: readonly MappingReason[];
}

export interface ProposeMappingOptions {
  /** What is already said: it stands, and is not asked again. */
  readonly given?: ColumnMapping;
  /** Which table of a log it is. Default: a garden log where target and neighbour or gap are among the headings. */
  readonly table?: MappedTableName;
}

/** What the parts of a proposal add to. */
export interface Draft {
  readonly table: MappedTableName;
  readonly given: ColumnMapping;
  readonly machines: MachinesFile | null;
  readonly facts: readonly ColumnFacts[];
  readonly columns: MappedColumn[];
  readonly questions: MappingQuestion[];
  readonly reasons: MappingReason[];
  patch: MappingPatch;
}

/** A field's name and the first words of its meaning, for a person. */
export function labelOf(table: MappedTableName, name: string): string {
  if (name === "readings") return "readings of both directions (readings)";
  if (name === "iron_distance") return "the distance to the nearest iron (iron_distance)";
  const meaning = mappedField(table, name)?.meaning ?? "";
  return `${name}: ${meaning.replace(/[;,.].*$/s, "")}`;
}
