import { FileFault } from "./file_fault.ts";
import type { ReadOptions } from "./table.ts";

/** How a text file splits and quotes its fields. */
export interface Dialect {
  readonly delimiter: "," | ";" | "\t" | "|";
  readonly quote: '"' | "'" | null;
  /** What was found out instead of being said or usual, one sentence each. */
  readonly notes: readonly string[];
}

export interface FindDialectOptions extends Pick<ReadOptions, "delimiter" | "quote"> {
  /** The file's name, for messages. */
  readonly file: string;
}

const DELIMITERS = [",", ";", "\t", "|"] as const;
const NAMES = { ",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars" } as const;
const SAID = { ",": "comma", ";": "semicolon", "\t": "tab", "|": "bar" } as const;
const SAMPLE_BYTES = 1 << 16;
const SAMPLE_ROWS = 100;

export const DIALECT_NOTES = {
  delimiter: {
    ";": "The fields were split by semicolons, as the heading row shows",
    "\t": "The fields were split by tabs, as the heading row shows",
    "|": "The fields were split by bars, as the heading row shows",
  },
  said: "The fields were split by the mark that the first line names",
  quote: "The fields are quoted with single quotes, as the heading row shows",
} as const;

/** The first rows of a text, split into fields; rows without anything in them left out. */
function sampleRows(text: string, delimiter: string, quote: string | null): string[][] {
  const rows: string[][] = [];
  let row: string[] = [], field = "", quoted = false, fresh = true;
  const endField = () => {
    row.push(field);
    field = "";
    fresh = true;
  };
  for (let i = 0; i < text.length && rows.length < SAMPLE_ROWS; i++) {
    const mark = text[i]!;
    if (quoted) {
      if (mark !== quote) field += mark;
      else if (text[i + 1] === quote) i++;
      else quoted = false;
    } else if (fresh && mark === quote) {
      quoted = true;
      fresh = false;
    } else if (mark === delimiter) endField();
    else if (mark === "\n" || mark === "\r") {
      if (mark === "\r" && text[i + 1] === "\n") i++;
      endField();
      if (row.some((cell) => cell.trim() !== "")) rows.push(row);
      row = [];
    } else {
      field += mark;
      fresh = false;
    }
  }
  endField();
  if (rows.length < SAMPLE_ROWS && row.some((cell) => cell.trim() !== "")) rows.push(row);
  return rows;
}

function findQuote(heading: string, file: string): '"' | "'" {
  const wrapped = (quote: string): boolean => {
    const field = `${quote}[^"']*${quote}`;
    return new RegExp(`(?:^|[,;\\t|])\\s*${field}\\s*(?:[,;\\t|]|$)`).test(heading);
  };
  if (!wrapped("'")) return '"';
  if (wrapped('"')) {
    throw new FileFault(
      `Cannot read ${file}: fields must be quoted one way, got headings in double and in single quotes; say which are quotes with --quote double or --quote single`,
      { file },
    );
  }
  // Quotes round a part of the headings only are quotes as well: nobody ends a heading with one for nothing.
  return "'";
}

/** The first line of some spreadsheets' files, which says what splits the fields: "sep=;". */
const SAYS_DELIMITER = /^"?sep=([,;\t|])"?(?:\r\n|\n|\r)/i;

/**
 * What a first line such as "sep=;" says, and the text with that line blanked, so that lines keep their numbers; null
 * where there is none.
 */
export function saidDelimiter(
  body: Uint8Array,
): { readonly delimiter: Dialect["delimiter"]; readonly body: Uint8Array } | null {
  const match = SAYS_DELIMITER.exec(new TextDecoder().decode(body.subarray(0, 10)));
  if (match === null) return null;
  const rest = body.slice();
  rest.fill(32, 0, match[0].trimEnd().length);
  return { delimiter: match[1] as Dialect["delimiter"], body: rest };
}

/**
 * Finds out how the fields of a text file are split and quoted, from its heading row and the rows after it.
 *
 * The delimiter is the one that splits the heading row into two or more, and the rows after it into as many. A heading
 * row that none splits is one column. Single quotes are quotes where headings stand in them.
 *
 * Throws FileFault, naming the option to give, where two delimiters do as well as each other, or both kinds of quotes
 * stand round headings.
 */
export function findDialect(body: Uint8Array, options: FindDialectOptions): Dialect {
  const { file } = options;
  const whole = body.length <= SAMPLE_BYTES;
  let sample = new TextDecoder().decode(body.subarray(0, SAMPLE_BYTES));
  if (!whole) {
    const end = Math.max(sample.lastIndexOf("\n"), sample.lastIndexOf("\r"));
    if (end > 0) sample = sample.slice(0, end);
  }
  const heading = sample.split(/\r\n|\n|\r/, 1000).find((line) => line.replace(/[\s,;|"']/g, "") !== "") ??
    "";
  const notes: string[] = [];
  let quote: Dialect["quote"];
  if (options.quote !== undefined) quote = options.quote === "none" ? null : options.quote;
  else {
    quote = findQuote(heading, file);
    if (quote === "'") notes.push(DIALECT_NOTES.quote);
  }

  const tried = DELIMITERS.map((delimiter) => {
    const [top = [], ...rows] = sampleRows(sample, delimiter, quote);
    const fit = rows.filter((row) => row.length === top.length).length;
    return { delimiter, width: top.length, share: rows.length === 0 ? 1 : fit / rows.length };
  });
  const splitting = tried.filter(({ width }) => width > 1).sort((a, b) => b.share - a.share);
  if (options.delimiter !== undefined) {
    const own = tried.find(({ delimiter }) => delimiter === options.delimiter);
    const [other] = splitting;
    if (own?.width === 1 && other !== undefined) {
      throw new FileFault(
        `Cannot read ${file}: fields must be split by ${NAMES[options.delimiter]}, as --delimiter says, got ${
          NAMES[other.delimiter]
        } in the heading row`,
        { file },
      );
    }
    return { delimiter: options.delimiter, quote, notes };
  }
  const [best, second] = splitting;
  if (best === undefined) return { delimiter: ",", quote, notes };
  if (second !== undefined && !(best.share === 1 && second.share < 1) && best.share < 2 * second.share) {
    throw new FileFault(
      `Cannot read ${file}: it must be clear what splits the fields, got a heading row and rows that ${
        NAMES[best.delimiter]
      } and ${NAMES[second.delimiter]} split as well as each other; give --delimiter ${
        SAID[best.delimiter]
      } or --delimiter ${SAID[second.delimiter]}`,
      { file },
    );
  }
  if (best.delimiter !== ",") notes.unshift(DIALECT_NOTES.delimiter[best.delimiter]);
  return { delimiter: best.delimiter, quote, notes };
}
