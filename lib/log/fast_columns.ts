import { restoreCell } from "./csv_text.ts";
import { PassesTable } from "./fast_readings.ts";
import { CODED, type CodedName, FIND_PARTS, PASSES, type PassesName } from "./fast_signal_table.ts";
import type { CutTable } from "./fast_table.ts";
import { WordTable } from "./fast_words.ts";
import type { Field } from "./fields.ts";
import { CellFault, readCell } from "./read_cell.ts";

/** A column that is read as words, and where each code goes. */
export interface WordColumn {
  readonly column: number;
  readonly words: WordTable;
  readonly codes: Int32Array;
}

/** The silent passes and all passes of one direction, where the log has columns for them. */
export interface PassCounts {
  readonly silent: Int32Array | null;
  readonly silentWords: WordTable;
  readonly passes: Int32Array | null;
  readonly passesWords: WordTable;
}

/** One column of readings with its counts; its cells are null where the log has nothing of it. */
export interface Side {
  readonly heading: string;
  readonly column: number;
  readonly counted: PassCounts | null;
  readonly cells: Int32Array | null;
}

/** One numbered find of a row: the codes of its parts, and the column of what it read alone. */
export interface FindColumns {
  readonly codes: readonly (Int32Array | null)[];
  readonly alone: number;
  readonly aloneName: string;
}

/** The columns that the signals of a table are read into, by data row, and the columns that they come from. */
export interface SignalColumns {
  readonly columnNamed: ReadonlyMap<string, number>;
  readonly wordsOf: (name: string) => WordTable;
  readonly wordColumns: readonly WordColumn[];
  readonly codes: Readonly<Record<CodedName, Int32Array | null>> & { readonly dug: Int32Array };
  readonly machineCodes: readonly [settings: Int32Array, machine: Int32Array, discrimination: Int32Array];
  readonly passes: PassesTable;
  /** In the order of `PASSES`. */
  readonly sides: readonly Side[];
  readonly finds: readonly FindColumns[];
  /** A column of zeros, for what the log does not have. */
  readonly nothing: Int32Array;
}

export interface SignalColumnsOptions {
  readonly fields: readonly Field[];
  /** The column of each field, or -1. */
  readonly columnOf: Int32Array;
  /** Whether guarded cells are restored. */
  readonly restore: boolean;
  /** Whether numbers have a decimal comma: then the steps of the schema read them. */
  readonly byComma: boolean;
  /** The numbers of the finds that the headings have. */
  readonly numbers: readonly number[];
}

/** Makes the empty columns for the signals of a table. */
export function signalColumns(table: CutTable, options: SignalColumnsOptions): SignalColumns {
  const { fields, columnOf, restore, byComma, numbers } = options;
  const { body, rowCount } = table;
  const text = (start: number, end: number): string => table.text(start, end);
  const columnNamed = new Map<string, number>();
  fields.forEach(({ name }, i) => {
    if (columnOf[i]! >= 0) columnNamed.set(name, columnOf[i]!);
  });
  /** What a cell means by the field's own rule, or undefined for a fault. */
  const meaning = (field: Field) => {
    const isNumber = field.kind === "number" || field.kind === "depth";
    return (start: number, end: number): string | number | null | undefined => {
      const cell = text(start, end);
      // A comma in a number asks for the decimal mark of the whole table.
      if (isNumber && (cell.includes(",") || byComma)) return undefined;
      const value = readCell(field, restore ? restoreCell(cell) : cell);
      if (value instanceof CellFault) return undefined;
      return field.name === "site" && typeof value === "string" ? value.replace(/\s+/g, " ") : value;
    };
  };
  const tables = new Map<string, WordTable>();
  const wordsOf = (name: string): WordTable => {
    const base = name.replace(/_\d+$/, "");
    let words = tables.get(base);
    if (words === undefined) {
      const field = fields.find((each) => each.name === base)!;
      words = new WordTable(body, meaning(field));
      tables.set(base, words);
    }
    return words;
  };
  const wordColumns: WordColumn[] = [];
  const coded = (name: string, needed = false): Int32Array | null => {
    const column = columnNamed.get(name);
    if (column === undefined && !needed) return null;
    const codes = new Int32Array(rowCount);
    if (column !== undefined) wordColumns.push({ column, words: wordsOf(name), codes });
    return codes;
  };

  const nothing = new Int32Array(rowCount);
  const machineCodes = [
    coded("settings") ?? nothing,
    coded("machine") ?? nothing,
    coded("discrimination") ?? nothing,
  ] as const;
  const codes = Object.fromEntries(CODED.map((name) => [name, coded(name, name === "dug")])) as
    & Record<CodedName, Int32Array | null>
    & { dug: Int32Array };
  const counts = (side: string): PassCounts => ({
    silent: coded(`silent_${side}`),
    silentWords: wordsOf(`silent_${side}`),
    passes: coded(`passes_${side}`),
    passesWords: wordsOf(`passes_${side}`),
  });
  const counted: Partial<Record<PassesName, PassCounts>> = {
    right: counts("right"),
    left: counts("left"),
    cross: counts("cross"),
  };
  // The times of an outing are checked though nothing of them is kept.
  for (const { name } of fields) if (name === "started_at" || name === "ended_at") coded(name);
  const finds = numbers.map((number): FindColumns => {
    const named = (part: string): string => number === 1 ? part : `${part}_${number}`;
    return {
      codes: FIND_PARTS.map((part) => part === "readings_alone" ? null : coded(named(part))),
      alone: columnNamed.get(named("readings_alone")) ?? -1,
      aloneName: named("readings_alone"),
    };
  });
  const sides = PASSES.map((name): Side => {
    const heading = name.startsWith("check_") ? name : `readings_${name}`;
    const column = columnNamed.get(heading) ?? -1;
    const own = counted[name] ?? null;
    const has = column >= 0 || own?.silent != null || own?.passes != null;
    return { heading, column, counted: own, cells: has ? new Int32Array(rowCount) : null };
  });
  return {
    columnNamed,
    wordsOf,
    wordColumns,
    codes,
    machineCodes,
    passes: new PassesTable(body, text, rowCount * 3),
    sides,
    finds,
    nothing,
  };
}
