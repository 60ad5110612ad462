import { HIGH, inFours, ONES, type Signs } from "./fast_bytes.ts";
import { longer } from "./fast_longer.ts";
import { refuseEqualHeadings, type Table, type TableNote } from "./table.ts";

const CR = 13, LF = 10;

export interface ByteTableOptions {
  readonly file: string;
  /** The byte that splits fields. */
  readonly delimiter: number;
  /** What `signsIn` finds in the bytes. */
  readonly signs: Signs;
  /** The byte that quotes fields, or -1. */
  readonly quote: number;
  /** A record longer than this is left to the strict parser. */
  readonly maxRowBytes: number;
  /** What is said of a row with a quote inside an unquoted field. */
  readonly strayQuote: string;
  /** What was taken for granted, given the line of the heading row. */
  readonly notes: (headingLine: number) => readonly TableNote[];
}

/** Where the records of a text begin, and which of them are not plain. */
interface Records {
  readonly starts: Uint32Array;
  readonly count: number;
  /** The first physical line of each record, or null where record i begins on line i + 1. */
  readonly lines: Uint32Array | null;
  /** Bit 1: it has a quoted field; bit 2: a quote inside an unquoted one. Null where no record has a quote. */
  readonly marks: Uint8Array | null;
}

/** Finds the records, or gives null for anything that the strict parser should look at. */
function findRecords(body: Uint8Array, options: ByteTableOptions): Records | null {
  const { delimiter, quote, maxRowBytes, signs } = options;
  const length = body.length;
  const quoted = quote >= 0 && (quote === 39 ? signs.singleQuote : signs.doubleQuote);
  if (!signs.cr && !quoted) {
    const { lineStarts, lineCount } = signs;
    for (let i = 1; i <= lineCount; i++) {
      if ((i < lineCount ? lineStarts[i]! : length) - lineStarts[i - 1]! > maxRowBytes) return null;
    }
    return { starts: lineStarts, count: lineCount, lines: null, marks: null };
  }
  let starts = new Uint32Array(Math.max(16, length >> 6));
  let lines = new Uint32Array(starts.length), marks = new Uint8Array(starts.length);
  let count = 0, line = 1, i = 0, several = false, anyMark = false;
  const { lead, fours } = inFours(body);
  const tail = lead + fours.length * 4;
  const quotes = quoted ? quote * 0x01010101 : 0x0a0a0a0a;
  while (i < length) {
    const start = i, firstLine = line;
    let mark = 0, ended = 0;
    while (i < length) {
      // To the next line end or quote, four bytes at a time where they lie so in memory (`signsIn`).
      if (i < tail && ((i - lead) & 3) === 0 && i >= lead) {
        const four = fours[(i - lead) >> 2]!;
        const f = four ^ 0x0a0a0a0a, c = four ^ 0x0d0d0d0d, q = four ^ quotes;
        if (((((f - ONES) & ~f) | ((c - ONES) & ~c) | ((q - ONES) & ~q)) & HIGH) === 0) {
          i += 4;
          continue;
        }
      }
      const byte = body[i]!;
      if (byte === LF || byte === CR) {
        if (byte === CR && body[i + 1] === LF) i++;
        i++;
        line++;
        ended = 1;
        break;
      }
      if (byte === quote) {
        if (i > start && body[i - 1] !== delimiter) mark |= 2;
        else {
          mark |= 1;
          i++;
          for (;;) {
            if (i >= length) return null;
            const inside = body[i]!;
            if (inside === quote) {
              if (body[i + 1] !== quote) break;
              i++;
            } else if (inside === LF || (inside === CR && body[i + 1] !== LF)) line++;
            i++;
          }
          const next = body[i + 1];
          if (i + 1 < length && next !== delimiter && next !== CR && next !== LF) return null;
        }
      }
      i++;
    }
    if (i - start > maxRowBytes) return null;
    if (line - firstLine > ended) {
      if ((mark & 2) !== 0) return null;
      several = true;
    }
    if (count === starts.length) {
      starts = longer(starts);
      lines = longer(lines);
      marks = longer(marks);
    }
    starts[count] = start;
    lines[count] = firstLine;
    marks[count] = mark;
    if (mark !== 0) anyMark = true;
    count++;
  }
  return { starts, count, lines: several ? lines : null, marks: anyMark ? marks : null };
}

/** A table whose rows lie in bytes, with one byte between cells. */
export interface CutTable extends Table {
  readonly body: Uint8Array;
  readonly delimiter: number;
  /** The byte that quotes fields, or -1. */
  readonly quote: number;
  /** The first byte of a data row. */
  start(row: number): number;
  /** The byte after the last one of a data row, its line end left out. */
  end(row: number): number;
  /** Bit 1: the row has a quoted field; bit 2: only the steps of the schema may read it. */
  marks(row: number): number;
  /** The text of bytes that begin and end between characters. */
  text(start: number, end: number): string;
  /** Makes `text` quicker, at the cost of more memory. */
  prepareText(): void;
}

/** A table that keeps the bytes of its file and cuts cells out of them when they are asked for. */
export class ByteTable implements CutTable {
  readonly file: string;
  readonly headings: readonly string[];
  readonly rowCount: number;
  readonly notes: readonly TableNote[];
  readonly body: Uint8Array;
  readonly delimiter: number;
  readonly quote: number;
  readonly #strayQuote: string;
  readonly #records: Records;
  readonly #top: number;
  readonly #decoder = new TextDecoder("utf-8", { ignoreBOM: true });
  readonly #ascii: boolean;
  #latin: string | null = null;
  #lastRecord = -1;
  #lastCells: readonly string[] = [];

  constructor(body: Uint8Array, records: Records, top: number, options: ByteTableOptions) {
    this.file = options.file;
    this.body = body;
    this.delimiter = options.delimiter;
    this.quote = options.quote;
    this.#ascii = options.signs.ascii;
    this.#strayQuote = options.strayQuote;
    this.#records = records;
    this.#top = top;
    this.rowCount = records.count - top - 1;
    this.headings = this.#cells(top).map((heading) => heading.trim());
    const line = this.place(-1, 0).line;
    refuseEqualHeadings(this.headings, this.file, line);
    this.notes = options.notes(line);
  }

  /** The first byte of a data row. */
  start(row: number): number {
    return this.#records.starts[this.#top + 1 + row]!;
  }

  /** The byte after the last one of a data row, its line end left out. */
  end(row: number): number {
    return this.#end(this.#top + 1 + row);
  }

  #end(record: number): number {
    const { starts, count } = this.#records;
    let end = record + 1 < count ? starts[record + 1]! : this.body.length;
    if (end > starts[record]! && this.body[end - 1] === LF) {
      end--;
      if (end > starts[record]! && this.body[end - 1] === CR) end--;
    } else if (end > starts[record]! && this.body[end - 1] === CR) end--;
    return end;
  }

  /** Bit 1: the row has a quoted field; bit 2: a quote inside an unquoted one. */
  marks(row: number): number {
    return this.#records.marks?.[this.#top + 1 + row] ?? 0;
  }

  /** Makes `text` quicker, at the cost of holding the file as text too. */
  prepareText(): void {
    this.#latin ??= new TextDecoder("latin1").decode(this.body);
  }

  /** The text of bytes that begin and end between characters. */
  text(start: number, end: number): string {
    if (this.#latin !== null) {
      const text = this.#latin.slice(start, end);
      if (this.#ascii || !/[^\0-\x7f]/.test(text)) return text;
    }
    return this.#decoder.decode(this.body.subarray(start, end));
  }

  #cells(record: number): readonly string[] {
    if (record === this.#lastRecord) return this.#lastCells;
    const { starts, marks } = this.#records;
    const text = this.text(starts[record]!, this.#end(record));
    const delimiter = String.fromCharCode(this.delimiter);
    const cells: string[] = ((marks?.[record] ?? 0) & 1) === 0 ? text.split(delimiter) : [];
    if (cells.length === 0) {
      const quote = String.fromCharCode(this.quote);
      for (let i = 0; i <= text.length; i++) {
        if (text[i] === quote) {
          let close = i + 1;
          while (text[close] !== quote || text[close + 1] === quote) close += text[close] === quote ? 2 : 1;
          cells.push(text.slice(i + 1, close).replaceAll(quote + quote, quote));
          i = close + 1;
        } else {
          const end = text.indexOf(delimiter, i);
          cells.push(text.slice(i, end < 0 ? text.length : end));
          i = end < 0 ? text.length : end;
        }
      }
    }
    this.#lastRecord = record;
    this.#lastCells = cells;
    return cells;
  }

  cell(row: number, column: number): string {
    return row < 0 || row >= this.rowCount ? "" : this.#cells(this.#top + 1 + row)[column] ?? "";
  }

  width(row: number): number {
    return row < 0 || row >= this.rowCount ? 0 : this.#cells(this.#top + 1 + row).length;
  }

  fault(row: number): string | null {
    return (this.marks(row) & 2) === 0 ? null : this.#strayQuote;
  }

  place(row: number, column: number) {
    const record = this.#top + 1 + row;
    const { lines, marks } = this.#records;
    let line = lines === null ? record + 1 : lines[record] ?? 1;
    if (lines !== null && column > 0 && ((marks?.[record] ?? 0) & 1) !== 0) {
      const cells = this.#cells(record);
      for (let i = 0; i < column; i++) line += (cells[i] ?? "").match(/\n|\r(?!\n)/g)?.length ?? 0;
    }
    return { file: this.file, line, column: column + 1, sheet: null, record: row + 1 };
  }
}

/**
 * Makes a table of the bytes of a text (UTF-8, checked) without cutting it up, or gives null where there is anything
 * that only the strict parser should judge: text after a closing quote, a quote never closed, a row above the limit, no
 * heading row. Cells, widths, faults and places are those of the strict parser.
 *
 * Throws FileFault where two headings are equal.
 */
export function byteTable(body: Uint8Array, options: ByteTableOptions): ByteTable | null {
  const records = findRecords(body, options);
  if (records === null) return null;
  const delimiter = String.fromCharCode(options.delimiter);
  const decoder = new TextDecoder("utf-8", { ignoreBOM: true });
  for (let top = 0; top < records.count; top++) {
    const end = top + 1 < records.count ? records.starts[top + 1]! : body.length;
    const text = decoder.decode(body.subarray(records.starts[top]!, end));
    if (((records.marks?.[top] ?? 0) & 1) !== 0) {
      // Quoted blanks above the headings are for the strict parser.
      return /[^\s"']/.test(text.replaceAll(delimiter, ""))
        ? new ByteTable(body, records, top, options)
        : null;
    }
    if (text.replaceAll(delimiter, "").trim() !== "") return new ByteTable(body, records, top, options);
  }
  return null;
}
