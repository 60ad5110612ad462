import { DECIMAL_NOTE, type DecimalMark, decimalMark } from "./decimal_mark.ts";
import type { Field } from "./fields.ts";
import { FileFault } from "./file_fault.ts";
import { restoreCell } from "./csv_text.ts";
import { nearestWord } from "./nearest_word.ts";
import { CellFault, readCell } from "./read_cell.ts";
import type { Account, IgnoredColumn, RejectedRow, Remark, RowFault } from "./report.ts";
import { asFieldName, type Table } from "./table.ts";

/** The columns that a file of rejected rows has before the row itself. They are passed over when it is loaded again. */
export const REJECTED_COLUMNS = ["rejected_file", "rejected_line", "rejected_reason"] as const;
/** The column of a merged log that says which log a row came from. It is passed over as well. */
export const MERGED_COLUMN = "merged_from";
/** Whether a table's cells were written by `csvText`: it holds rejected rows, or was merged. */
export const isGuarded = (headings: readonly string[]): boolean =>
  headings.some((heading) => [REJECTED_COLUMNS[2], MERGED_COLUMN].includes(asFieldName(heading)));

/** What `finish` may read and say about the row in hand. */
export interface RowInHand {
  readonly record: number;
  /** The physical line on which the row begins. */
  readonly line: number;
  /** Whether the table has a column for the field. */
  has(name: string): boolean;
  text(name: string): string | null;
  number(name: string): number | null;
  /** The value as it is: text, number or null. */
  value(name: string): string | number | null;
  /** Rejects the row: it breaks a rule, said without the value. */
  fault(name: string | null, rule: string, nearest?: string | null): void;
  /** Counts something that was taken for granted. */
  assume(name: string | null, text: string): void;
  /** Counts something legal but odd. */
  flag(name: string | null, text: string): void;
}

/** What one table of a log must hold, and how a row of it is made. */
export interface RowSchema<Row> {
  /** What the table is, in a word that may be published ("dig-log"). */
  readonly role: string;
  readonly fields: readonly Field[];
  /** Names of the columns that must be there. */
  readonly needed: readonly string[];
  /** The field that must differ from row to row, and be filled where its column is needed. */
  readonly id: string;
  /** Makes the row, or says that it is planned, or returns null after a fault. */
  finish(row: RowInHand): Row | "planned" | null;
}

export interface ApplySchemaOptions {
  /** Which field a heading means, where it is not the field's own name. By heading as written. */
  readonly mapping?: ReadonlyMap<string, string>;
  /** Cells were written by `csvText`, so that guarded ones are restored. Default: only in a file of rejected rows. */
  readonly guarded?: boolean;
  /** A row fault is a file fault. Default false. */
  readonly strict?: boolean;
  /** The decimal mark of its numbers. Default: found out by `decimalMark`. */
  readonly decimal?: "point" | "comma";
}

/** What a table gave. */
export interface Applied<Row> {
  readonly rows: readonly Row[];
  /** The record of each accepted row, in the same order. */
  readonly records: readonly number[];
  readonly account: Account;
  readonly rejected: readonly RejectedRow[];
  readonly assumptions: readonly Remark[];
  readonly flags: readonly Remark[];
  readonly ignored: readonly IgnoredColumn[];
}

const shorten = (text: string): string => text.length > 60 ? `${text.slice(0, 57)}...` : text;

/** One line for a person: where, which rule, what was found. */
export const faultLine = (fault: RowFault): string =>
  `${fault.file}, line ${fault.line}${fault.column === null ? "" : `, ${fault.column}`}: ${fault.rule}, got ${
    JSON.stringify(shorten(fault.value))
  }${fault.nearest === null ? "" : `; nearest is ${JSON.stringify(fault.nearest)}`}`;

/** Throws unless the account adds up. It cannot fail unless this library is at fault. */
export function assertBalanced(account: Account): Account {
  const { rows, accepted, rejected, blank, planned } = account;
  if (rows !== accepted + rejected + blank + planned) {
    throw new Error(
      `Row account of ${account.role} does not balance: ${rows} rows, got ${accepted} + ${rejected} + ${blank} + ${planned}`,
    );
  }
  return account;
}

/** Throws FileFault where no row was accepted, more than half were rejected, or one was and `strict` is set. */
export function refuseBadAccount(account: Account, rejected: readonly RejectedRow[], strict = false): void {
  const { file } = account;
  const first = rejected.slice(0, 3).map((row) => row.faults[0]).filter((fault) => fault !== undefined);
  const examples = first.length === 0 ? "" : `. First: ${first.map(faultLine).join(" | ")}`;
  const line = first[0]?.line;
  const place = line === undefined ? { file, rejected } : { file, line, rejected };
  if (account.accepted === 0) {
    throw new FileFault(
      `Cannot use ${file}: at least one row must be accepted, got ${account.rejected} rejected, ${account.blank} blank, ${account.planned} planned${examples}`,
      place,
    );
  }
  if (account.rejected * 2 > account.accepted + account.rejected + account.planned) {
    throw new FileFault(
      `Cannot use ${file}: no more than half of the rows may be rejected, got ${account.rejected} of ${
        account.accepted + account.rejected + account.planned
      }${examples}`,
      place,
    );
  }
  if (strict && account.rejected > 0) {
    throw new FileFault(
      `Cannot use ${file}: strict allows no rejected row, got ${account.rejected}${examples}`,
      place,
    );
  }
}

/** Counts remarks of one kind: one entry a column and text, with where it was met first. */
export class Remarks {
  readonly #all = new Map<string, { -readonly [Key in keyof Remark]: Remark[Key] }>();

  /** Counts one remark; `first` is kept, or made, only where it is the first of its kind. Gives the entry it counts in. */
  add(
    role: string,
    column: string | null,
    text: string,
    first: Remark["first"] | (() => Remark["first"]),
  ): { count: number } {
    const key = `${role}\n${column ?? ""}\n${text}`;
    let entry = this.#all.get(key);
    if (entry !== undefined) entry.count++;
    else {
      entry = { role, column, text, count: 1, first: typeof first === "function" ? first() : first };
      this.#all.set(key, entry);
    }
    return entry;
  }

  /** Adds what was counted elsewhere. */
  addCounted(remark: Remark): void {
    const key = `${remark.role}\n${remark.column ?? ""}\n${remark.text}`;
    const known = this.#all.get(key);
    if (known !== undefined) known.count += remark.count;
    else this.#all.set(key, { ...remark });
  }

  list(): readonly Remark[] {
    return [...this.#all.values()];
  }
}

/**
 * Gives a table meaning: each data row is accepted, rejected, blank or planned, and the account of them balances.
 *
 * Headings are matched to fields by name, in lower case with underscores for spaces; others are kept out and listed. A
 * row with no filled cell is blank. A row that breaks any rule is rejected whole, with all the rules it breaks. Of rows
 * with one id the first accepted stands. `cells` of a rejected row are as written.
 *
 * Throws FileFault when there is no data row, a needed column is missing (with the nearest heading), or too many rows
 * are rejected (`refuseBadAccount`); RangeError when the mapping names a field that the schema does not have.
 */
export function applySchema<Row>(
  table: Table,
  schema: RowSchema<Row>,
  options: ApplySchemaOptions = {},
): Applied<Row> {
  const rows: Row[] = [], records: number[] = [];
  const steps = beginSchema(table, schema, options);
  for (let row = 0; row < table.rowCount; row++) {
    const made = steps.step(row);
    if (made === null) continue;
    rows.push(made);
    records.push(row + 1);
  }
  return { rows, records, ...steps.finish(rows.length) };
}

/** The ids met so far. */
export interface MetIds {
  has(id: string): boolean;
  add(id: string): void;
}

/** `applySchema` one row at a time, so that another may read the rows in between that need no second look. */
export interface SchemaSteps<Row> {
  /** The column of each field of the schema, or -1. */
  readonly columnOf: Int32Array;
  /** Whether guarded cells are restored. */
  readonly restore: boolean;
  /** Reads a row: gives what was made of it, or null where it was not accepted. Rows must be taken in order. */
  step(row: number): Row | null;
  /** Counts a remark about a row that was accepted. Gives the entry it counts in. */
  remark(kind: "assume" | "flag", row: number, name: string | null, text: string): { count: number };
  /** Adds up, and refuses a bad account. */
  finish(accepted: number): Omit<Applied<Row>, "rows" | "records">;
}

/** Matches headings to fields and gives the steps of `applySchema`, which says what is thrown. */
export function beginSchema<Row>(
  table: Table,
  schema: RowSchema<Row>,
  options: ApplySchemaOptions & { readonly ids?: MetIds } = {},
): SchemaSteps<Row> {
  const { mapping = new Map<string, string>(), strict = false, guarded } = options;
  const { role, fields } = schema;
  const { file } = table;
  const indexOf = new Map(fields.map((field, i) => [field.name, i]));
  const columnOf = new Int32Array(fields.length).fill(-1);
  const ignored: IgnoredColumn[] = [];
  const names = fields.map((field) => field.name);

  table.headings.forEach((heading, column) => {
    const mapped = mapping.get(heading);
    if (mapped !== undefined && !indexOf.has(mapped)) {
      throw new RangeError(`Cannot map a column: ${role} has no such field, got ${JSON.stringify(mapped)}`);
    }
    const name = mapped ?? asFieldName(heading);
    const index = indexOf.get(name);
    if (index === undefined || columnOf[index] !== -1) {
      if (
        heading === "" || name === MERGED_COLUMN || (REJECTED_COLUMNS as readonly string[]).includes(name)
      ) return;
      ignored.push({
        role,
        file,
        heading,
        nearest: nearestWord(name, names.filter((each) => columnOf[indexOf.get(each)!] === -1)),
      });
    } else columnOf[index] = column;
  });
  const fieldAt = new Map(names.flatMap((name, i) => columnOf[i]! < 0 ? [] : [[columnOf[i]!, name]]));
  for (const name of schema.needed) {
    if (columnOf[indexOf.get(name)!] !== -1) continue;
    const near = nearestWord(name, ignored.map((each) => asFieldName(each.heading)));
    const heading = ignored.find((each) => asFieldName(each.heading) === near)?.heading;
    throw new FileFault(
      `Cannot use ${file}: the column ${name} is needed, got none${
        heading === undefined
          ? ` among ${shorten(table.headings.map((each) => JSON.stringify(each)).join(", "))}`
          : `; nearest is ${JSON.stringify(heading)}`
      }`,
      { file, line: table.place(-1, 0).line, column: name },
    );
  }
  if (table.rowCount === 0) {
    throw new FileFault(`Cannot use ${file}: it must have a data row, got a heading row only`, {
      file,
      line: table.place(-1, 0).line,
    });
  }

  const { source } = table;
  const whole = source?.table ?? table;
  const restore = guarded ?? isGuarded(whole.headings);
  const assumptions = new Remarks(), flags = new Remarks();
  for (const { text, count, first } of whole.notes ?? []) {
    assumptions.addCounted({ role, column: null, text, count, first: { file, ...first } });
  }
  // The decimal mark is looked for when a number first has a comma: most logs never ask.
  const isNumber = fields.map((field) => field.kind === "number" || field.kind === "depth");
  let decimal: DecimalMark["mark"] | undefined = source === undefined ? options.decimal : "point";
  const withPoint = (text: string): string => {
    if (decimal === undefined) {
      const found = decimalMark(table, [...columnOf].filter((column, i) => column >= 0 && isNumber[i]));
      decimal = found.mark;
      if (found.first !== null) {
        const { count, first } = found;
        assumptions.addCounted({ role, column: null, text: DECIMAL_NOTE, count, first: { file, ...first } });
      }
    }
    return decimal === "comma" ? text.replace(",", ".") : text;
  };
  const rejected: RejectedRow[] = [];
  const ids: MetIds = options.ids ?? new Set<string>();
  const values: (string | number | null)[] = new Array(fields.length).fill(null);
  let blank = 0, planned = 0, row = 0;
  let faults: RowFault[] = [];
  let remarks: { kind: "assume" | "flag"; name: string | null; text: string }[] = [];
  const raw = (column: number): string => {
    const cell = table.cell(row, column);
    return restore && source === undefined ? restoreCell(cell) : cell;
  };
  const written = (column: number): string =>
    source === undefined ? raw(column) : source.written(row, column);
  const headingOf = (column: number): string | null => {
    const from = source === undefined ? column : source.columnOf(column);
    return (from < 0 ? table.headings[column] : whole.headings[from]) ?? null;
  };
  const columnNamed = (name: string | null): number =>
    name === null ? -1 : columnOf[indexOf.get(name) ?? -1] ?? -1;
  const addFault = (column: number, rule: string, nearest: string | null, value?: string): void => {
    faults.push({
      file,
      line: table.place(row, Math.max(column, 0)).line,
      column: column < 0 ? null : headingOf(column),
      field: column < 0 ? null : fieldAt.get(column) ?? null,
      rule,
      value: value ?? (column < 0 ? "" : written(column)),
      nearest,
    });
  };
  const inHand: RowInHand = {
    get record() {
      return row + 1;
    },
    get line() {
      return table.place(row, 0).line;
    },
    has: (name) => columnNamed(name) >= 0,
    value: (name) => values[indexOf.get(name) ?? -1] ?? null,
    text: (name) => {
      const value = values[indexOf.get(name) ?? -1] ?? null;
      return value === null ? null : String(value);
    },
    number: (name) => {
      const value = values[indexOf.get(name) ?? -1] ?? null;
      return typeof value === "number" ? value : null;
    },
    fault: (name, rule, nearest = null) => addFault(columnNamed(name), rule, nearest),
    assume: (name, text) => void remarks.push({ kind: "assume", name, text }),
    flag: (name, text) => void remarks.push({ kind: "flag", name, text }),
  };

  const remark = (kind: "assume" | "flag", at: number, name: string | null, text: string) => {
    row = at;
    const column = columnNamed(name);
    return (kind === "assume" ? assumptions : flags).add(role, name, text, () => ({
      file,
      line: table.place(row, Math.max(column, 0)).line,
      value: column < 0 ? "" : written(column),
    }));
  };
  const step = (at: number): Row | null => {
    row = at;
    const width = whole.width(row);
    let filled = false;
    for (let column = 0; column < width && !filled; column++) filled = whole.cell(row, column).trim() !== "";
    if (!filled) {
      blank++;
      return null;
    }
    faults = [];
    remarks = [];
    const broken = table.fault(row);
    if (broken !== null) addFault(-1, broken, null);
    if (width !== whole.headings.length) {
      addFault(
        -1,
        `must have as many cells as the heading row, ${whole.headings.length}`,
        null,
        `${width} cells`,
      );
    }
    let made: Row | "planned" | null = null;
    let id: string | null = null;
    if (faults.length === 0) {
      for (let i = 0; i < fields.length; i++) {
        const column = columnOf[i]!;
        if (column < 0) {
          values[i] = null;
          continue;
        }
        const unread = table.cellFault?.(row, column) ?? null;
        if (unread !== null) {
          values[i] = null;
          addFault(column, unread, null);
          continue;
        }
        const text = raw(column);
        const value = readCell(fields[i]!, isNumber[i] && text.includes(",") ? withPoint(text) : text);
        if (value instanceof CellFault) {
          values[i] = null;
          addFault(column, value.rule, value.nearest);
        } else values[i] = value;
      }
      id = inHand.text(schema.id);
      if (id === null && schema.needed.includes(schema.id) && faults.length === 0) {
        inHand.fault(schema.id, "must be filled");
      }
      if (id !== null && ids.has(id)) {
        inHand.fault(schema.id, "must differ from row to row: the first row with it stands");
      }
      if (faults.length === 0) made = schema.finish(inHand);
    }
    if (faults.length === 0 && made === "planned") {
      planned++;
      if (id !== null) ids.add(id);
      return null;
    }
    if (faults.length === 0 && made !== null) {
      if (id !== null) ids.add(id);
      for (const { kind, name, text } of remarks) remark(kind, row, name, text);
      return made as Row;
    }
    if (faults.length === 0) {
      throw new Error(`Row schema of ${role} gave neither a row nor a fault at record ${row + 1}`);
    }
    rejected.push({
      role,
      file,
      line: table.place(row, 0).line,
      record: row + 1,
      headings: whole.headings,
      cells: Array.from({ length: width }, (_, column) => {
        const cell = whole.cell(row, column);
        return restore ? restoreCell(cell) : cell;
      }),
      faults,
    });
    return null;
  };

  const finish = (accepted: number): Omit<Applied<Row>, "rows" | "records"> => {
    const account = assertBalanced({
      role,
      file,
      rows: table.rowCount,
      accepted,
      rejected: rejected.length,
      blank,
      planned,
    });
    refuseBadAccount(account, rejected, strict);
    return { account, rejected, assumptions: assumptions.list(), flags: flags.list(), ignored };
  };
  return { columnOf, restore, step, remark, finish };
}
