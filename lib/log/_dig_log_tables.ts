import { FileFault } from "./file_fault.ts";
import { mapTable } from "./map_table.ts";
import type { ColumnMapping } from "./mapping.ts";
import { type LogFile, readTable, type ReadTableOptions } from "./read_table.ts";
import type { Remark } from "./report.ts";
import { asFieldName, type Table } from "./table.ts";

type Role = NonNullable<LogFile["role"]>;

/** Which table of a dig log a file holds: what it is said to be, else what its headings and its name tell. */
export function roleOf(file: LogFile, table: Table, alone: boolean): Role {
  if (file.role !== undefined) return file.role;
  const names = new Set(table.headings.map(asFieldName));
  if (alone || names.has("readings_right") || names.has("signal_id")) return "signals";
  if (names.has("find_id") || names.has("hole_id")) return "finds";
  return /find/i.test(file.name)
    ? "finds"
    : /outing/i.test(file.name) || names.has("outing_id")
    ? "outings"
    : "signals";
}

export interface DigLogTablesOptions {
  readonly read: ReadTableOptions;
  /** What the columns of a foreign log mean, for the table that the mapping names. */
  readonly columns: ColumnMapping | undefined;
  /** Whether cells were written by `csvText`. */
  readonly guarded: boolean | undefined;
}

/** The tables of a dig log. */
export interface DigLogTables {
  readonly all: ReadonlyMap<Role, Table>;
  readonly signals: Table;
  /** What the mapping converted. */
  readonly conversions: readonly Remark[];
}

/**
 * Reads the files of a dig log into its tables, one a role, the table of a foreign log mapped.
 *
 * Throws FileFault for two files of one role, no file of signals, or a mapping for a table that there is none of; RangeError for a garden log.
 */
export async function digLogTables(
  list: readonly LogFile[],
  { read, columns, guarded }: DigLogTablesOptions,
): Promise<DigLogTables> {
  const tables = new Map<Role, Table>();
  const conversions: Remark[] = [];
  for (const file of list) {
    let table = await readTable(file, read);
    const role = roleOf(file, table, list.length === 1);
    if (columns !== undefined && (columns.table ?? "signals") === role) {
      const mapped = mapTable(table, columns, guarded === undefined ? {} : { guarded });
      conversions.push(...mapped.assumptions);
      table = mapped;
    }
    if (role === "trials") throw new RangeError(`Cannot load a dig log: ${file.name} is a garden log`);
    if (tables.has(role)) {
      throw new FileFault(`Cannot use ${file.name}: a dig log has one file of ${role}, got another`, {
        file: file.name,
      });
    }
    tables.set(role, table);
  }
  const signalTable = tables.get("signals");
  if (signalTable === undefined) {
    throw new FileFault(
      `Cannot use ${list[0]!.name}: a dig log needs a file of signals, got only ${
        [...tables.keys()].join(", ")
      }`,
      {
        file: list[0]!.name,
      },
    );
  }
  if (columns !== undefined && !tables.has(columns.table ?? "signals")) {
    throw new FileFault(
      `Cannot use the mapping on ${list[0]!.name}: it is for a table of ${columns.table}, got ${
        [...tables.keys()].join(", ")
      }`,
      { file: list[0]!.name },
    );
  }
  return { all: tables, signals: signalTable, conversions };
}
