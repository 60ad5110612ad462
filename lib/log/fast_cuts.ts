import type { CutTable } from "./fast_table.ts";
import { AT_FAULT, type WordTable } from "./fast_words.ts";

/** Where the cells of a block of rows begin and end, row after row. */
export interface Cuts {
  readonly starts: Int32Array;
  readonly ends: Int32Array;
  readonly width: number;
}

/** Cuts a row without quotes into its cells. False where it has more or fewer than the headings. */
function cutPlain(
  body: Uint8Array,
  from: number,
  end: number,
  delimiter: number,
  cuts: Cuts,
  base: number,
): boolean {
  const { starts, ends, width } = cuts;
  const last = base + width - 1;
  let at = base;
  starts[at] = from;
  for (let i = from; i < end; i++) {
    if (body[i] !== delimiter) continue;
    if (at === last) return false;
    ends[at++] = i;
    starts[at] = i + 1;
  }
  ends[at] = end;
  return at === last;
}

/** Cuts a row with whole fields in quotes. False also for a field with a quote in it. */
function cutQuoted(
  body: Uint8Array,
  from: number,
  end: number,
  marks: { readonly delimiter: number; readonly quote: number },
  cuts: Cuts,
  base: number,
): boolean {
  const { delimiter, quote } = marks;
  const { starts, ends, width } = cuts;
  const last = base + width - 1;
  let at = base;
  for (let i = from;; i++) {
    if (at > last) return false;
    if (i < end && body[i] === quote) {
      starts[at] = ++i;
      while (body[i] !== quote) i++;
      // A doubled quote, or the end of the field.
      if (i + 1 < end && body[i + 1] === quote) return false;
      ends[at++] = i++;
    } else {
      starts[at] = i;
      while (i < end && body[i] !== delimiter) i++;
      ends[at++] = i;
    }
    if (i >= end) return at === last + 1;
  }
}

/**
 * Cuts the rows from `begin` to before `end` into their cells, and marks those as odd that are not plain enough: another
 * number of cells than the headings, or a quote inside a field.
 */
export function cutRows(table: CutTable, cuts: Cuts, odd: Uint8Array, begin: number, end: number): void {
  const { body, delimiter, quote } = table;
  for (let row = begin; row < end; row++) {
    const marks = table.marks(row);
    const base = (row - begin) * cuts.width;
    const isCut = marks === 0
      ? cutPlain(body, table.start(row), table.end(row), delimiter, cuts, base)
      : marks === 1 && cutQuoted(body, table.start(row), table.end(row), { delimiter, quote }, cuts, base);
    odd[row - begin] = isCut ? 0 : 1;
  }
}

/** Puts the codes of one column's words in their place, and marks rows with a word at fault as odd. */
export function readWords(
  cuts: Cuts,
  odd: Uint8Array,
  column: number,
  begin: number,
  end: number,
  words: WordTable,
  codes: Int32Array,
): void {
  const { starts, ends, width } = cuts;
  for (let row = begin, at = column; row < end; row++, at += width) {
    const from = starts[at]!, to = ends[at]!;
    if (from === to || odd[row - begin] !== 0) continue;
    const code = words.code(from, to);
    if (code === AT_FAULT) odd[row - begin] = 1;
    else codes[row] = code;
  }
}
