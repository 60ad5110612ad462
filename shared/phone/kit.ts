import type { FieldRule } from "../../lib/decide/verdict_rule.ts";
import type { MachinesFile } from "../../lib/log/machines.ts";
import type { Caution } from "../../lib/writeup/field_stop_rules.ts";

/** What the page is made with: it is part of its one script. */
export interface Kit {
  readonly machines: MachinesFile;
  /** The machines that the rules were learnt with, and the rules, their models packed. */
  readonly ruleMachines: MachinesFile | null;
  readonly rules: readonly FieldRule[];
  readonly stop: readonly Caution[];
  readonly care: readonly Caution[];
  readonly read: readonly Caution[];
  /** Holes that a good find is worth to the person who made the page; null where they did not say. */
  readonly worth: number | null;
  readonly version: string;
}
