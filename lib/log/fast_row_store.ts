import type { SignalColumns } from "./fast_columns.ts";
import { FindList } from "./fast_find_list.ts";
import type { IdTable } from "./fast_ids.ts";
import type { RowMachines } from "./fast_machines.ts";
import type { RowRemarks } from "./fast_remarks.ts";
import type { CutTable } from "./fast_table.ts";

/** Everything that accepted rows are put into, by whichever way they were read. */
export interface RowStore {
  readonly table: CutTable;
  readonly columns: SignalColumns;
  readonly ids: IdTable;
  readonly machines: RowMachines;
  readonly remarks: RowRemarks;
  readonly restore: boolean;
  /** Which machine a row has. */
  readonly of: Int32Array;
  readonly finds: FindList;
  readonly findStarts: Int32Array;
  readonly findCounts: Uint8Array;
  readonly idStarts: Uint32Array;
  readonly idEnds: Uint32Array;
  readonly idTexts: Map<number, string>;
  readonly notesColumn: number;
  readonly noteStarts: Int32Array;
  readonly noteEnds: Int32Array;
  readonly noteTexts: Map<number, string | null>;
}

/** Makes the store for the rows of a table. */
export function rowStore(
  table: CutTable,
  parts: Pick<RowStore, "columns" | "ids" | "machines" | "remarks" | "restore">,
): RowStore {
  const { rowCount } = table;
  const { columns } = parts;
  const notesColumn = columns.columnNamed.get("notes") ?? -1;
  const hasNotes = notesColumn >= 0;
  return {
    ...parts,
    table,
    of: new Int32Array(rowCount),
    finds: new FindList(rowCount),
    findStarts: new Int32Array(rowCount),
    findCounts: new Uint8Array(rowCount),
    idStarts: new Uint32Array(rowCount),
    idEnds: new Uint32Array(rowCount),
    idTexts: new Map(),
    notesColumn,
    noteStarts: hasNotes ? new Int32Array(rowCount) : columns.nothing,
    noteEnds: hasNotes ? new Int32Array(rowCount) : columns.nothing,
    noteTexts: new Map(),
  };
}
