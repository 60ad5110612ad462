import { MAPPING_NOTES } from "./_convert_cell.ts";
import type { Entry } from "./_mapped_entries.ts";
import type { ColumnMapping } from "./mapping.ts";
import { foldWord } from "./mapping_words.ts";

/** One column of a mapped table: which source columns it came from, its cells, and what could not be converted. */
export interface MadeColumn {
  readonly name: string;
  readonly from: readonly number[];
  readonly cells: string[];
  readonly faults: Map<number, string>;
}

/** The columns of a mapped table while it is made. */
export interface MappedColumns {
  readonly columns: ReadonlyMap<string, MadeColumn>;
  readonly rowCount: number;
  /** The column of a field, made where there is none yet. */
  readonly add: (field: string, from: readonly number[]) => MadeColumn;
  /** Counts something that was taken for granted. */
  readonly remark: (row: number, column: number, field: string | null, text: string, value: string) => void;
}

/** Gives the finds of each row their metal and keeping by the mapping's table, and splits cells with several. */
export function mapFinds(made: MappedColumns, mapping: ColumnMapping, entries: readonly Entry[]): void {
  const { columns, rowCount, add, remark } = made;
  const name = mapping.table ?? "signals";
  if (name !== "signals" && name !== "finds") return;
  const byWord = new Map(mapping.finds.map((each) => [foldWord(each.word), each]));
  const whats = [...columns.values()].filter((each) => /^what(?:_\d+)?$/.test(each.name));
  const numberOf = (column: MadeColumn): number => Number(/_(\d+)$/.exec(column.name)?.[1] ?? 1);
  let next = Math.max(1, ...whats.map(numberOf)) + 1;
  for (const what of whats) {
    const signs = entries.find((each) => each.column.field === what.name)?.column.split ?? [];
    if (signs.length === 0 || name !== "signals") continue;
    const parts = (text: string): string[] =>
      signs.reduce((list, sign) => list.flatMap((each) => each.split(sign)), [text]).map((each) =>
        each.trim()
      )
        .filter((each) => each !== "");
    const most = Math.min(20, what.cells.reduce((top, text) => Math.max(top, parts(text).length), 1));
    const more = Array.from({ length: most - 1 }, () => add(`what_${next++}`, what.from));
    for (let row = 0; row < rowCount; row++) {
      const list = parts(what.cells[row]!);
      if (list.length < 2) continue;
      if (list.length > most) {
        what.faults.set(row, "must hold 20 finds or fewer");
        continue;
      }
      remark(row, what.from[0]!, what.name, MAPPING_NOTES.split, what.cells[row]!);
      what.cells[row] = list[0]!;
      more.forEach((column, i) => void (column.cells[row] = list[i + 1] ?? ""));
    }
    whats.push(...more);
  }
  if (byWord.size === 0) return;
  const hasResult = [...byWord.values()].some((each) => each.result !== undefined) && name === "signals";
  const result = hasResult ? add("result", whats[0]?.from ?? []) : null;
  for (const what of whats) {
    const ending = what.name.slice("what".length);
    const metal = add(`metal${ending}`, what.from), keep = add(`keep${ending}`, what.from);
    for (let row = 0; row < rowCount; row++) {
      const text = what.cells[row]!;
      if (text.trim() === "") continue;
      const found = byWord.get(foldWord(text));
      if (found === undefined) {
        remark(row, what.from[0]!, what.name, MAPPING_NOTES.unknownFind, text);
        continue;
      }
      if (found.result !== undefined && result !== null) {
        if (result.cells[row] === "") {
          result.cells[row] = found.result;
          remark(row, what.from[0]!, "result", MAPPING_NOTES.findResult, text);
        }
        if (found.result === "nothing-found") {
          what.cells[row] = "";
          continue;
        }
      }
      let used = false;
      for (const [column, value] of [[metal, found.metal], [keep, found.keep]] as const) {
        if (value === undefined || column.cells[row] !== "") continue;
        column.cells[row] = value;
        used = true;
      }
      if (used) remark(row, what.from[0]!, what.name, MAPPING_NOTES.findWord, text);
    }
  }
}
