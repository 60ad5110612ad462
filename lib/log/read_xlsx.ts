import { FileFault } from "./file_fault.ts";
import {
  type ReadOptions,
  refuseEqualHeadings,
  refuseLargeFile,
  type Table,
  TableNotes,
  tableOfRows,
  type WrittenRow,
} from "./table.ts";
import { scanWorkbook, type SheetScan } from "./_workbook_scan.ts";

export const XLSX_NOTES = {
  formula: "The stored result of a formula was taken",
  date: "A date or time of the spreadsheet was written out as YYYY-MM-DD, HH:MM or both",
  hidden: "A hidden row or column was read as the others are",
} as const;

const FAULTS = {
  error: "no cell may be an error of the spreadsheet",
  unsaved: "a formula must have its result stored: open the workbook in a spreadsheet and save it again",
  merged: "no cell of a row may be merged with another: split it in the spreadsheet",
} as const;

const two = (value: number): string => String(value).padStart(2, "0");

/** A date of a spreadsheet as text. It has no zone, and comes as if it were UTC. A day before 1900 is a time alone. */
function dateText(date: Date): string {
  // Times are stored as fractions of a day: the nearest second is what was typed.
  const at = new Date(Math.round(date.getTime() / 1000) * 1000);
  const seconds = at.getUTCSeconds();
  const clock = `${two(at.getUTCHours())}:${two(at.getUTCMinutes())}${
    seconds === 0 ? "" : `:${two(seconds)}`
  }`;
  const year = at.getUTCFullYear();
  if (
    year < 1900 || (year === 1904 && at.getUTCMonth() === 0 && at.getUTCDate() === 1 && clock !== "00:00")
  ) return clock;
  const day = `${String(year).padStart(4, "0")}-${two(at.getUTCMonth() + 1)}-${two(at.getUTCDate())}`;
  return clock === "00:00" ? day : `${day}T${clock}`;
}

const cellText = (value: unknown): string =>
  value === null || value === undefined
    ? ""
    : value instanceof Date
    ? dateText(value)
    : typeof value === "boolean"
    ? (value ? "TRUE" : "FALSE")
    : String(value);

/** Which rows (from 0) a merged cell reaches into. */
function mergedRows(sheet: SheetScan, rowCount: number): Uint8Array {
  const steps = new Int32Array(rowCount + 1);
  for (const { fromRow, toRow } of sheet.merges) {
    const from = Math.min(fromRow, toRow) - 1, to = Math.max(fromRow, toRow);
    if (from >= rowCount) continue;
    steps[from]!++;
    steps[Math.min(to, rowCount)]!--;
  }
  let open = 0;
  return Uint8Array.from({ length: rowCount }, (_, row) => (open += steps[row]!) > 0 ? 1 : 0);
}

function chooseSheet(sheets: readonly SheetScan[], file: string, wanted: string | undefined): SheetScan {
  const names = (list: readonly SheetScan[]): string =>
    list.map(({ name }) => JSON.stringify(name)).join(", ");
  if (wanted !== undefined) {
    const found = sheets.find(({ name }) => name === wanted) ??
      sheets.find(({ name }) => name.toLowerCase() === wanted.toLowerCase());
    if (found !== undefined) return found;
    throw new FileFault(
      `Cannot read ${file}: the sheet must be one of its own, ${names(sheets)}, got ${
        JSON.stringify(wanted)
      }`,
      { file },
    );
  }
  const filled = sheets.filter(({ cells }) => cells > 0);
  const [only, other] = filled;
  if (only === undefined) {
    throw new FileFault(`Cannot read ${file}: it must have a heading row, got empty sheets only`, { file });
  }
  if (other !== undefined) {
    throw new FileFault(
      `Cannot read ${file}: a workbook with several filled sheets needs the name of one, got ${
        names(filled)
      }; give --sheet NAME`,
      { file },
    );
  }
  return only;
}

/**
 * Reads a sheet of a workbook (XLSX) into a table. The first row with anything in it is the heading row; lines of places
 * are the sheet's rows.
 *
 * Cells are read for what they hold, not for how they are shown: numbers with a decimal point, dates as YYYY-MM-DD, times
 * as HH:MM, TRUE and FALSE. Of a formula the stored result is taken, and noted. A row with an error, a formula without a
 * result or a merged cell is faulty.
 *
 * Throws FileFault for a broken or encrypted workbook, several filled sheets without `sheet`, merged headings, two equal
 * headings, a document type declaration in its XML, or one beyond a limit.
 *
 * @example
 * ```ts
 * import { readXlsx } from "../log/read_xlsx.ts";
 * const fault = await readXlsx(new TextEncoder().encode("text"), { file: "log.xlsx" }).catch((error) => error);
 * if (!fault.message.includes("an archive must be whole")) throw new Error("wrong");
 * ```
 */
export async function readXlsx(bytes: Uint8Array, options: ReadOptions): Promise<Table> {
  const { file, maxFileBytes = 1 << 29, maxUnpackedBytes = 1 << 29, maxCells = 20_000_000 } = options;
  const { maxArchiveFiles = 1000 } = options;
  refuseLargeFile(bytes.length, file, maxFileBytes);
  const { sheets, repacked } = await scanWorkbook(bytes, {
    file,
    maxUnpackedBytes,
    maxCells,
    maxArchiveFiles,
  });
  const sheet = chooseSheet(sheets, file, options.sheet);
  const { readSheet } = await import("read-excel-file/universal");
  let data: unknown[][];
  try {
    data = await readSheet(repacked, sheet.name, { trim: false }) as unknown as unknown[][];
  } catch (error) {
    throw new FileFault(
      `Cannot read ${file}: it must be a workbook as spreadsheets write it, got: ${(error as Error).message}`,
      { file },
    );
  }

  const texts = data.map((cells) => cells.map(cellText));
  const top = texts.findIndex((cells) => cells.some((cell) => cell.trim() !== ""));
  if (top < 0) {
    throw new FileFault(
      `Cannot read ${file}: it must have a heading row, got an empty sheet ${JSON.stringify(sheet.name)}`,
      { file },
    );
  }
  const merged = sheet.merges.find(({ fromRow, toRow }) => fromRow <= top + 1 && toRow >= top + 1);
  if (merged !== undefined) {
    throw new FileFault(
      `Cannot read ${file}: each heading must stand in a cell of its own, got the merged cells ${merged.ref} on sheet ${
        JSON.stringify(sheet.name)
      }; split them and give each column its heading`,
      { file, line: top + 1 },
    );
  }
  const headings = texts[top]!.map((heading) => heading.trim());
  while (headings.at(-1) === "") headings.pop();
  refuseEqualHeadings(headings, file, top + 1);

  const notes = new TableNotes();
  if (sheet.hidden !== null) notes.add(XLSX_NOTES.hidden, sheet.hidden, "");
  const isMerged = mergedRows(sheet, texts.length);
  const rows: WrittenRow[] = [];
  for (let row = top + 1; row < texts.length; row++) {
    const cells = texts[row]!;
    let width = cells.length;
    while (width > headings.length && cells[width - 1]!.trim() === "") width--;
    const odd = sheet.odd.get(row + 1);
    for (const [column, { kind, text }] of odd ?? []) {
      if (kind === "formula") notes.add(XLSX_NOTES.formula, row + 1, cells[column] ?? "");
      else if (column < cells.length) cells[column] = text || "?";
    }
    data[row]!.forEach((value, column) => {
      if (value instanceof Date) notes.add(XLSX_NOTES.date, row + 1, cells[column]!);
    });
    const kinds = new Set([...odd?.values() ?? []].map(({ kind }) => kind));
    const fault = kinds.has("error")
      ? FAULTS.error
      : kinds.has("unsaved")
      ? FAULTS.unsaved
      : isMerged[row] === 1
      ? FAULTS.merged
      : null;
    const shown = fault !== null && cells.every((cell) => cell.trim() === "")
      ? ["?", ...cells.slice(1)]
      : cells;
    rows.push({ cells: shown, line: row + 1, fault, width: Math.max(width, headings.length) });
  }
  return tableOfRows(file, headings, rows, { headingLine: top + 1, sheet: sheet.name, notes: notes.list() });
}
