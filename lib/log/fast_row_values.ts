import {
  type CodedName,
  FIND_PARTS,
  FIND_PLACE,
  type PassesName,
  type SignalTable,
} from "./fast_signal_table.ts";
import type { Find, Passes } from "./rows.ts";

const {
  find_id: FIND_ID,
  what: WHAT,
  metal: METAL,
  keep: KEEP,
  depth_cm: DEPTH,
  readings_alone: ALONE,
  reported: REPORTED,
} = FIND_PLACE;

/** What a row of a signal table holds, as the loaded log has it. */
export interface RowValues {
  /** The code of a word of a row; 0 where there is none. */
  codeAt(name: CodedName, row: number): number;
  /** What it stands for; null where there is none. */
  valueAt(name: CodedName, row: number): never;
  passesAt(name: PassesName, row: number): Passes | null;
  findsOfRow(row: number, holeId: string): Find[];
  /** Where the row stands in its file, for a remark. */
  first(row: number, value: string): { readonly file: string; readonly line: number; readonly value: string };
}

/** Makes the reader of a table's rows. */
export function rowValues(found: SignalTable): RowValues {
  const { table, words, codes, cells, passes, finds, findStarts, findCounts, findWords } = found;
  const codeAt = (name: CodedName, row: number): number => codes[name]?.[row] ?? 0;
  const partWords = FIND_PARTS.map((part) => findWords[part].values);
  const findOfRow = (row: number, k: number, holeId: string): Find => {
    const at = (findStarts[row]! + k) * FIND_PARTS.length;
    const value = (part: number) => partWords[part]![finds[at + part]!] as never;
    return {
      find_id: value(FIND_ID) ?? `${holeId}-${k + 1}`,
      hole_id: holeId,
      order: k + 1,
      metal: value(METAL),
      keep: value(KEEP),
      depth_cm: value(DEPTH),
      readings_alone: passes.get(finds[at + ALONE]!),
      what: value(WHAT),
      reported: value(REPORTED),
    };
  };
  return {
    codeAt,
    valueAt: (name, row) => words[name].values[codeAt(name, row)] as never,
    passesAt: (name, row) => passes.get(cells[name]?.[row] ?? 0),
    findsOfRow: (row, holeId) =>
      Array.from({ length: findCounts[row]! }, (_, k) => findOfRow(row, k, holeId)),
    first: (row, value) => ({ file: table.file, line: table.place(row, 0).line, value }),
  };
}
