import { Buffer } from "node:buffer";
import { CsvError, parse } from "csv-parse/sync";
import { decodeText } from "./decode_text.ts";
import { byteTable } from "./fast_table.ts";
import { FileFault } from "./file_fault.ts";
import { DIALECT_NOTES, findDialect, saidDelimiter } from "./find_dialect.ts";
import {
  type ReadOptions,
  refuseEqualHeadings,
  refuseLargeFile,
  type Table,
  type TableNote,
} from "./table.ts";

const CR = 13, LF = 10;
/** The note on a file whose lines end in more than one way. */
export const MIXED_ENDS = "The lines end in more than one way: each of them was taken as the end of a line";
const STRAY_QUOTE =
  "a quote stands inside a field: put the whole field in quotes and write each quote in it twice";

const isBreak = (bytes: Uint8Array, i: number): boolean =>
  bytes[i] === LF || (bytes[i] === CR && bytes[i + 1] !== LF);

const breaksIn = (text: string): number => {
  let count = 0;
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code === LF || (code === CR && text.charCodeAt(i + 1) !== LF)) count++;
  }
  return count;
};

/** The bytes that quote and split fields; a quote of -1 is none. */
interface Marks {
  readonly quote: number;
  readonly delimiter: number;
}

/** Whether the bytes of one record follow RFC 4180, section 2: each field whole in quotes, or without any. */
function isStrict(
  bytes: Uint8Array,
  from: number,
  to: number,
  { quote: QUOTE, delimiter: DELIMITER }: Marks,
): boolean {
  for (let i = from; i < to; i++) {
    if (bytes[i] === QUOTE) {
      for (i++; i < to && (bytes[i] !== QUOTE || bytes[i + 1] === QUOTE); i++) if (bytes[i] === QUOTE) i++;
      if (i >= to) return false;
      i++;
      if (i < to && bytes[i] !== DELIMITER && bytes[i] !== CR && bytes[i] !== LF) return false;
    } else {
      while (i < to && bytes[i] !== DELIMITER) {
        if (bytes[i] === QUOTE) return false;
        i++;
      }
    }
  }
  return true;
}

/** Throws for a line above the limit; else tells where the lines first end otherwise than the first one does. */
function refuseLongLines(
  bytes: Uint8Array,
  file: string,
  limit: number,
  hasCr: boolean,
): { oddEnd: number | null } {
  let line = 1, start = 0, firstEnd = 0;
  let oddEnd: number | null = null;
  if (!hasCr) {
    // From one line end to the last one within the limit: all between them are short enough.
    while (bytes.length - start > limit) {
      const end = bytes.lastIndexOf(LF, start + limit);
      if (end < start) break;
      start = end + 1;
    }
    if (bytes.length - start <= limit) return { oddEnd };
    start = 0;
  }
  for (let i = 0; i <= bytes.length; i++) {
    if (i - start > limit) {
      throw new FileFault(
        `Cannot read ${file}: a line must be ${limit} bytes or shorter, got a longer line ${line}; raise maxRowBytes (--max-row-bytes) if it is meant`,
        { file, line },
      );
    }
    if (i < bytes.length && isBreak(bytes, i)) {
      const end = bytes[i] === CR ? 1 : bytes[i - 1] === CR ? 2 : 3;
      if (firstEnd === 0) firstEnd = end;
      else if (oddEnd === null && end !== firstEnd) oddEnd = line;
      line++;
      start = i + 1;
    }
  }
  return { oddEnd };
}

/** The line on which the quote opened that is open at the end of the bytes. */
function openQuoteLine(bytes: Uint8Array, { quote: QUOTE, delimiter: DELIMITER }: Marks): number {
  let line = 1, opened = 1, quoted = false, fieldStart = true;
  for (let i = 0; i < bytes.length; i++) {
    const byte = bytes[i]!;
    if (quoted) {
      if (byte === QUOTE) {
        if (bytes[i + 1] === QUOTE) i++;
        else quoted = false;
      } else if (isBreak(bytes, i)) line++;
      continue;
    }
    if (byte === QUOTE && fieldStart) {
      quoted = true;
      opened = line;
    }
    fieldStart = byte === DELIMITER || byte === LF || byte === CR;
    if (isBreak(bytes, i)) line++;
  }
  return opened;
}

/**
 * Reads the bytes of a CSV file (RFC 4180: doubled quotes, any line end) into a table of text cells. The first row that
 * is not blank is the heading row. What splits and quotes fields is found out by `findDialect`, the encoding by
 * `decodeText`, where they are not said; what was found is noted in the table.
 *
 * A stray quote inside an unquoted field makes that row faulty, not the file. Lines of places are physical lines: a
 * quoted field may span several.
 *
 * Throws FileFault when the file is empty or too large, not in its encoding, holds a NUL byte, has a line above the
 * limit, a quote never closed, no heading row, two equal headings, or can be split in two ways as good.
 *
 * @example
 * ```ts
 * import { readCsv } from "../log/read_csv.ts";
 * const table = readCsv(new TextEncoder().encode('a,b\n1,"2\n3"\n'), { file: "log.csv" });
 * if (table.cell(0, 1) !== "2\n3" || table.place(0, 0).line !== 2) throw new Error("wrong");
 * ```
 */
export function readCsv(bytes: Uint8Array, options: ReadOptions): Table {
  return readText(bytes, options, false);
}

/** `readCsv` by the strict parser alone, which reads a file the slower way and gives the same. */
export function readCsvStrictly(bytes: Uint8Array, options: ReadOptions): Table {
  return readText(bytes, options, true);
}

function readText(bytes: Uint8Array, options: ReadOptions, strictly: boolean): Table {
  const { file, maxRowBytes = 1 << 20, maxFileBytes = 1 << 29 } = options;
  refuseLargeFile(bytes.length, file, maxFileBytes);
  const decoded = decodeText(
    bytes,
    file,
    options.encoding === undefined ? {} : { encoding: options.encoding },
  );
  const said = saidDelimiter(decoded.body);
  const body = said?.body ?? decoded.body;
  const { oddEnd } = refuseLongLines(body, file, maxRowBytes, decoded.signs.cr);
  const dialect = findDialect(body, said === null ? options : { delimiter: said.delimiter, ...options });
  const marks: Marks = {
    quote: dialect.quote?.charCodeAt(0) ?? -1,
    delimiter: dialect.delimiter.charCodeAt(0),
  };
  const first = (at: number, value = ""): TableNote["first"] => ({ line: at, value });
  const notesOf = (headingLine: number): TableNote[] => [
    ...(decoded.note === null ? [] : [{ text: decoded.note, count: 1, first: first(1) }]),
    ...(said === null ? [] : [{ text: DIALECT_NOTES.said, count: 1, first: first(1) }]),
    ...dialect.notes.map((text) => ({ text, count: 1, first: first(headingLine) })),
    ...(oddEnd === null ? [] : [{ text: MIXED_ENDS, count: 1, first: first(oddEnd) }]),
  ];
  const quick = strictly ? null : byteTable(body, {
    ...marks,
    signs: decoded.signs,
    file,
    maxRowBytes,
    strayQuote: STRAY_QUOTE,
    notes: notesOf,
  });
  if (quick !== null) return quick;

  const QUOTE = marks.quote;
  const quoted = QUOTE >= 0 && body.includes(QUOTE);

  let records: { record: string[]; info: { bytes: number } }[];
  try {
    records = parse(Buffer.from(body.buffer, body.byteOffset, body.byteLength), {
      columns: false,
      info: true,
      bom: false,
      relax_column_count: true,
      relax_quotes: true,
      delimiter: dialect.delimiter,
      quote: dialect.quote ?? false,
      escape: dialect.quote ?? false,
      record_delimiter: ["\r\n", "\n", "\r"],
      max_record_size: maxRowBytes,
    }) as unknown as typeof records;
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const line = openQuoteLine(body, marks);
    throw error.code === "CSV_QUOTE_NOT_CLOSED"
      ? new FileFault(
        `Cannot read ${file}: each quote must be closed, got one opened on line ${line} that never is`,
        { file, line },
      )
      : error.code === "CSV_MAX_RECORD_SIZE"
      ? new FileFault(
        `Cannot read ${file}: a row must be ${maxRowBytes} bytes or shorter, got a longer one from line ${line} on: is a quote left open there?`,
        { file, line },
      )
      : new FileFault(`Cannot read ${file}: it must follow RFC 4180, got: ${error.message}`, { file });
  }

  const starts = new Uint32Array(records.length);
  const faults = new Map<number, string>();
  let line = 1, from = 0;
  records.forEach((each, i) => {
    starts[i] = line;
    const to = each.info.bytes;
    let hasQuote = false, breaks = 0;
    for (let at = from; at < to; at++) {
      if (body[at] === QUOTE) hasQuote = true;
      else if (isBreak(body, at)) breaks++;
    }
    if (quoted && hasQuote) {
      if (!isStrict(body, from, to, marks)) {
        const inside = breaks - (isBreak(body, to - 1) ? 1 : 0);
        if (inside > 0) {
          throw new FileFault(
            `Cannot read ${file}: text must not follow a closing quote, got such a row from line ${line} to ${
              line + inside
            }: is a quote left open?`,
            { file, line },
          );
        }
        faults.set(i, STRAY_QUOTE);
      }
    }
    line += breaks;
    from = to;
  });

  const isBlank = (cells: readonly string[]): boolean => cells.every((cell) => cell.trim() === "");
  const top = records.findIndex((each) => !isBlank(each.record));
  if (top < 0) {
    throw new FileFault(`Cannot read ${file}: it must have a heading row, got blank lines only`, { file });
  }
  const headings = records[top]!.record.map((heading) => heading.trim());
  refuseEqualHeadings(headings, file, starts[top]!);
  const notes = notesOf(starts[top]!);
  const rows = records.slice(top + 1).map((each) => each.record);
  return {
    file,
    headings,
    rowCount: rows.length,
    cell: (row, column) => rows[row]?.[column] ?? "",
    width: (row) => rows[row]?.length ?? 0,
    fault: (row) => faults.get(top + 1 + row) ?? null,
    place(row, column) {
      const cells = row < 0 ? records[top]!.record : rows[row] ?? [];
      let at = starts[top + 1 + row] ?? 1;
      for (let i = 0; i < column; i++) at += breaksIn(cells[i] ?? "");
      return { file, line: at, column: column + 1, sheet: null, record: row + 1 };
    },
    notes,
  };
}
