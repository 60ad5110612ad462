import { Buffer } from "node:buffer";
import { CsvError, parse } from "csv-parse/sync";
import { utf8Body } from "./decode_text.ts";
import { FileFault } from "./file_fault.ts";
import { asFieldName, type Reader, type ReadOptions, type Table } from "./table.ts";

const CR = 13, LF = 10, QUOTE = 34, COMMA = 44;
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

/** Whether the bytes of one record follow RFC 4180, section 2: each field whole in quotes, or without any. */
function isStrict(bytes: Uint8Array, from: number, to: number): boolean {
  for (let i = from; i < to; i++) {
    if (bytes[i] === QUOTE) {
      for (i++; i < to && (bytes[i] !== QUOTE || bytes[i + 1] === QUOTE); i++) if (bytes[i] === QUOTE) i++;
      if (i >= to) return false;
      i++;
      if (i < to && bytes[i] !== COMMA && bytes[i] !== CR && bytes[i] !== LF) return false;
    } else {
      while (i < to && bytes[i] !== COMMA) {
        if (bytes[i] === QUOTE) return false;
        i++;
      }
    }
  }
  return true;
}

function refuseLongLines(bytes: Uint8Array, file: string, limit: number): void {
  let line = 1, start = 0;
  for (let i = 0; i <= bytes.length; i++) {
    if (i - start > limit) {
      throw new FileFault(
        `Cannot read ${file}: a line must be ${limit} bytes or shorter, got a longer line ${line}; raise maxRowBytes if it is meant`,
        { file, line },
      );
    }
    if (i < bytes.length && isBreak(bytes, i)) {
      line++;
      start = i + 1;
    }
  }
}

/** The line on which the quote opened that is open at the end of the bytes. */
function openQuoteLine(bytes: Uint8Array): number {
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
    fieldStart = byte === COMMA || byte === LF || byte === CR;
    if (isBreak(bytes, i)) line++;
  }
  return opened;
}

/** What separates the fields if it is clearly not a comma, in words, else null. */
function otherSeparator(heading: readonly string[]): string | null {
  const text = heading.join(",");
  const commas = heading.length - 1;
  const count = (mark: string): number => text.split(mark).length - 1;
  for (const [mark, word] of [[";", "semicolons"], ["\t", "tabs"], ["|", "bars"]] as const) {
    if (count(mark) > commas && count(mark) >= 1) return word;
  }
  return null;
}

/**
 * Reads the bytes of a CSV file (RFC 4180: commas, doubled quotes, any line end; UTF-8 with or without a byte order
 * mark) into a table of text cells. The first row that is not blank is the heading row.
 *
 * A stray quote inside an unquoted field makes that row faulty, not the file. Lines of places are physical lines: a
 * quoted field may span several.
 *
 * Throws FileFault when the file is empty, not UTF-8, holds a NUL byte, has a line above the limit, a quote never
 * closed, no heading row, two equal headings, or a heading row split by something else than commas.
 *
 * @example
 * ```ts
 * import { readCsv } from "../log/read_csv.ts";
 * const table = readCsv(new TextEncoder().encode('a,b\n1,"2\n3"\n'), { file: "log.csv" });
 * if (table.cell(0, 1) !== "2\n3" || table.place(0, 0).line !== 2) throw new Error("wrong");
 * ```
 */
export function readCsv(bytes: Uint8Array, options: ReadOptions): Table {
  const { file, maxRowBytes = 1 << 20, maxFileBytes = 1 << 29 } = options;
  if (bytes.length > maxFileBytes) {
    throw new FileFault(
      `Cannot read ${file}: it must be ${maxFileBytes} bytes or smaller, got ${bytes.length}; raise maxFileBytes if it is meant`,
      { file },
    );
  }
  const body = utf8Body(bytes, file);
  refuseLongLines(body, file, maxRowBytes);
  const quoted = body.includes(QUOTE);

  let records: { record: string[]; info: { bytes: number } }[];
  try {
    records = parse(Buffer.from(body.buffer, body.byteOffset, body.byteLength), {
      columns: false,
      info: true,
      bom: false,
      relax_column_count: true,
      relax_quotes: true,
      record_delimiter: ["\r\n", "\n", "\r"],
      max_record_size: maxRowBytes,
    }) as unknown as typeof records;
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const line = openQuoteLine(body);
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
      if (!isStrict(body, from, to)) {
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
  const other = otherSeparator(headings);
  if (other !== null) {
    throw new FileFault(
      `Cannot read ${file}: fields must be split by commas, got ${other} in the heading row; save it as CSV with commas`,
      { file, line: starts[top]! },
    );
  }
  const seen = new Map<string, string>();
  for (const heading of headings) {
    const name = asFieldName(heading);
    if (name !== "" && seen.has(name)) {
      throw new FileFault(
        `Cannot read ${file}: no two columns may share a heading, got ${JSON.stringify(seen.get(name))} and ${
          JSON.stringify(heading)
        }`,
        { file, line: starts[top]!, column: heading },
      );
    }
    seen.set(name, heading);
  }

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
  };
}

/** The reader of CSV files. */
export const csvReader: Reader = {
  name: "CSV",
  fits(fileName, head) {
    if (/\.csv$/i.test(fileName)) return 1;
    if (head.includes(0)) return 0;
    return /\.txt$/i.test(fileName) ? 0.5 : 0.1;
  },
  read: readCsv,
};
