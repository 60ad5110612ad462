import type { RowSchema } from "./apply_schema.ts";
import { joinSignals } from "./fast_join.ts";
import { readSignals, type ReadSignalsOptions } from "./fast_signals.ts";
import type { CutTable } from "./fast_table.ts";
import { FileFault } from "./file_fault.ts";
import type { DigLog } from "./load_dig_log.ts";
import { refuseNoMachine } from "./_machine_of_row.ts";
import { findSuspicious } from "./find_suspicious.ts";
import type { ColumnMapping } from "./mapping.ts";
import type { LoadReport, Remark, RepeatNoise } from "./report.ts";
import type { Season, Signal } from "./rows.ts";
import type { SignalDraft } from "./_signal_row.ts";

export interface LoadFromBytesOptions extends Omit<ReadSignalsOptions, "mapping"> {
  /** Which field a heading means, as the person says. */
  readonly mapping: ReadonlyMap<string, string>;
  /** The same with the headings that number a first find. */
  readonly firsts: ReadonlyMap<string, string>;
  readonly saysDug: boolean;
  readonly repeatNoise: readonly RepeatNoise[] | null;
  /** The mapping that the table was made by; undefined for a log in the kit's own form. */
  readonly columns: ColumnMapping | undefined;
  /** What the mapping converted. */
  readonly conversions: readonly Remark[];
}

/**
 * Loads a dig log of one flat file from its bytes, without an object for each row: all of it is read and checked, and the
 * signals are made of the columns when they are first asked for. What comes out is what the rows, read one by one, give.
 * Null where the file as a whole is at fault: the strict path then says how.
 */
export function loadFromBytes(
  table: CutTable,
  schema: RowSchema<SignalDraft>,
  options: LoadFromBytesOptions,
): DigLog | null {
  const { mapping, firsts, saysDug, repeatNoise, machines, columns, conversions } = options;
  let found: ReturnType<typeof readSignals>, joined: ReturnType<typeof joinSignals>;
  try {
    refuseNoMachine(table, machines, mapping);
    found = readSignals(table, schema, { ...options, mapping: firsts });
    joined = found === null ? null : joinSignals(found, { machines, mapping, saysDug, repeatNoise, columns });
  } catch (error) {
    if (error instanceof FileFault || error instanceof RangeError) return null;
    throw error;
  }
  if (found === null || joined === null) return null;
  const { rows } = found;
  const { outings, privateSites } = joined;
  const { account, rejected, assumptions, flags, ignored } = found;
  const { repeatNoise: noise, outcomes } = joined;
  const assumed = [...conversions, ...assumptions, ...joined.assumptions];
  const flagged = [...flags, ...joined.flags];
  let signals: readonly Signal[] | null = null;
  let odd: LoadReport["flags"] | null = null;
  const season: Season = {
    machines: machines.machines,
    settings: machines.settings,
    get signals() {
      signals ??= joined!.signals();
      joined = null;
      return signals;
    },
    outings,
  };
  return {
    season,
    report: {
      spacedX: options.readings.spacedX ?? null,
      accounts: [account],
      rejected,
      assumptions: assumed,
      get flags() {
        odd ??= findSuspicious(season.signals, {
          place: (index) => ({ file: table.file, line: table.place(rows[index]!, 0).line }),
          outings,
        });
        return [...flagged, ...odd];
      },
      ignored,
      repeatNoise: noise,
      outcomes,
    },
    privateSites,
  };
}
