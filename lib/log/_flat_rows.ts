import { isGuarded, MERGED_COLUMN, REJECTED_COLUMNS } from "./apply_schema.ts";
import { restoreCell } from "./csv_text.ts";
import { decimalMark } from "./decimal_mark.ts";
import { expandLogFile } from "./expand_log_file.ts";
import { type Field, FIELDS } from "./fields.ts";
import { FileFault } from "./file_fault.ts";
import { roleOf } from "./_dig_log_tables.ts";
import { mapTable } from "./map_table.ts";
import type { ColumnMapping } from "./mapping.ts";
import { type LogFile, readTable, type ReadTableOptions } from "./read_table.ts";
import { asFieldName, type Table } from "./table.ts";

/** A row of a log as text by field name, with where it stands. */
export interface FlatRow {
  readonly cells: Map<string, string>;
  readonly file: string;
  readonly line: number;
}

/** A row that cannot be taken as it is, and why. */
export interface LeftOut {
  readonly file: string;
  readonly line: number;
  readonly reason: string;
}

/** A dig log with a row a signal, whatever tables it came in, all cells as text. */
export interface FlatLog {
  readonly rows: readonly FlatRow[];
  readonly blank: number;
  readonly leftOut: readonly LeftOut[];
}

const find = new Map(FIELDS.find.map((field) => [field.name, field]));
const known = new Map<string, Field>(
  [...FIELDS.outing, ...FIELDS.signal].map((field) => [field.name, field]),
);

/** The field that a heading of a flat log names; `metal_2` is metal. */
export const flatField = (name: string): Field | undefined =>
  known.get(name) ?? find.get(name) ?? find.get(name.replace(/_\d{1,2}$/, ""));

function rowsOf(table: Table, leftOut: LeftOut[]): { rows: FlatRow[]; blank: number } {
  const whole = table.source?.table ?? table;
  const restore = table.source === undefined && isGuarded(table.headings);
  const names = table.headings.map(asFieldName);
  const isNumber = names.map((name) => ["number", "depth"].includes(flatField(name)?.kind ?? ""));
  const numbers = isNumber.flatMap((yes, i) => yes ? [i] : []);
  const byComma = table.source === undefined && decimalMark(table, numbers).mark === "comma";
  const rows: FlatRow[] = [];
  let blank = 0;
  for (let row = 0; row < table.rowCount; row++) {
    const { file, line } = table.place(row, 0);
    const width = whole.width(row);
    if (Array.from({ length: width }, (_, i) => whole.cell(row, i)).every((cell) => cell.trim() === "")) {
      blank++;
      continue;
    }
    const unread = names.map((_, i) => table.cellFault?.(row, i) ?? null).find((each) => each !== null);
    const reason = table.fault(row) ?? unread ??
      (width === whole.headings.length ? null : "must have as many cells as the heading row");
    if (reason !== null) {
      leftOut.push({ file, line, reason });
      continue;
    }
    const cells = new Map<string, string>();
    names.forEach((name, i) => {
      if (name === "" || (REJECTED_COLUMNS as readonly string[]).includes(name)) return;
      const written = table.cell(row, i);
      const text = (restore ? restoreCell(written) : written).trim();
      if (text !== "") cells.set(name, byComma && isNumber[i] ? text.replace(",", ".") : text);
    });
    rows.push({ cells, file, line });
  }
  return { rows, blank };
}

/** Adds the finds of a table of finds to the rows of their holes, as numbered columns behind the finds already there. */
function addFinds(rows: readonly FlatRow[], finds: readonly FlatRow[], leftOut: LeftOut[]): void {
  const ofHole = new Map<string, FlatRow>();
  for (const row of rows) {
    const hole = row.cells.get("hole_id") ?? row.cells.get("signal_id");
    if (hole !== undefined && !ofHole.has(hole)) ofHole.set(hole, row);
  }
  const order = (row: FlatRow): number => Number(row.cells.get("order") ?? Infinity);
  const sorted = [...finds].sort((a, b) => order(a) - order(b) || a.line - b.line);
  for (const each of sorted) {
    const row = ofHole.get(each.cells.get("hole_id") ?? "");
    if (row === undefined) {
      leftOut.push({ file: each.file, line: each.line, reason: "must be of a hole of the log" });
      continue;
    }
    const taken = (number: number): boolean =>
      [...find.keys()].some((name) =>
        name !== "hole_id" && row.cells.has(number === 1 ? name : `${name}_${number}`)
      );
    let number = 1;
    while (taken(number)) number++;
    for (const [name, text] of each.cells) {
      if (name === "hole_id" || name === "order") continue;
      row.cells.set(number === 1 ? name : `${name}_${number}`, text);
    }
  }
}

/**
 * Reads a dig log of one file or several into rows of text, one a signal: those of outings filled in, finds as numbered
 * columns. Cells stay as they are written, but for what a mapping converts and for decimal commas.
 */
export async function flatRows(
  files: readonly LogFile[],
  options: ReadTableOptions & { readonly columns?: ColumnMapping } = {},
): Promise<FlatLog> {
  const { columns, ...readOptions } = options;
  const inside = (await Promise.all(files.map((file) => expandLogFile(file, readOptions)))).flat()
    .filter(({ role }) => role !== "trials");
  const tables = new Map<string, Table>();
  for (const file of inside) {
    const table = await readTable(file, readOptions);
    const role = roleOf(file, table, inside.length === 1);
    if (tables.has(role)) {
      throw new FileFault(`Cannot use ${file.name}: a dig log has one file of ${role}, got another`, {
        file: file.name,
      });
    }
    tables.set(
      role,
      columns !== undefined && (columns.table ?? "signals") === role ? mapTable(table, columns) : table,
    );
  }
  const signals = tables.get("signals");
  if (signals === undefined) {
    throw new FileFault(`Cannot use ${files[0]!.name}: a dig log needs a file of signals, got none`, {
      file: files[0]!.name,
    });
  }
  const leftOut: LeftOut[] = [];
  const { rows, blank } = rowsOf(signals, leftOut);
  const outings = tables.get("outings"), finds = tables.get("finds");
  if (outings !== undefined) {
    const byId = new Map(rowsOf(outings, leftOut).rows.map((row) => [row.cells.get("outing_id"), row]));
    for (const row of rows) {
      const id = row.cells.get("outing_id");
      const named = row.cells.has("settings") || row.cells.has("machine");
      for (const [name, text] of (id === undefined ? undefined : byId.get(id))?.cells ?? []) {
        // A row that names its own machine does not take its outing's.
        if (named && (name === "settings" || name === "machine")) continue;
        if (!row.cells.has(name)) row.cells.set(name, text);
      }
    }
  }
  if (finds !== undefined) addFinds(rows, rowsOf(finds, leftOut).rows, leftOut);
  if (rows.length === 0) {
    throw new FileFault(`Cannot use ${signals.file}: it must have a row that can be read, got none`, {
      file: signals.file,
    });
  }
  return { rows, blank, leftOut };
}

/** The name of the column that says where a merged row came from. */
export { MERGED_COLUMN };
