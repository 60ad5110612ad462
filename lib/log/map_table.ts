import { REJECTED_COLUMNS, Remarks } from "./apply_schema.ts";
import { restoreCell } from "./csv_text.ts";
import { FileFault } from "./file_fault.ts";
import { converterOf, MAPPING_NOTES } from "./_convert_cell.ts";
import { type MadeColumn, mapFinds } from "./_map_finds.ts";
import { entriesOf, type Entry } from "./_mapped_entries.ts";
import type { ColumnMapping, MappedTableName } from "./mapping.ts";
import type { Converted } from "./mapping_numbers.ts";
import { joinPasses, partDirections, READING_CELL_NOTES, readingsConverter } from "./mapping_readings.ts";
import { foldWord } from "./mapping_words.ts";
import type { Remark } from "./report.ts";
import { asFieldName, type Table } from "./table.ts";

export { MAPPING_NOTES } from "./_convert_cell.ts";

/** A table in the kit's own headings and cell forms, made from a foreign one. */
export interface MappedTable extends Table {
  /** Every conversion, counted, with its first example. Texts hold neither headings nor values of the log. */
  readonly assumptions: readonly Remark[];
}

export interface MapTableOptions {
  /** Cells were written by `csvText`. Default: only in a file of rejected rows. */
  readonly guarded?: boolean;
}

const ROLES: Readonly<Record<MappedTableName, string>> = {
  signals: "dig-log",
  outings: "outings",
  finds: "finds",
  trials: "garden-log",
};
const IDS: Readonly<Record<MappedTableName, string>> = {
  signals: "signal_id",
  outings: "outing_id",
  finds: "find_id",
  trials: "trial_id",
};

/**
 * Turns a foreign table into one in the kit's own headings and cell forms, by a mapping.
 *
 * Columns that the mapping does not name keep their heading; those with a field's own name are read as that field, the
 * others are listed as not used when the schema is applied. A cell that cannot be converted stays as it is written, or is
 * a fault where the kit would read it as something else. `place` points at the source cell, and `source` gives the table
 * behind it, so that faults and rejected rows are told in the log's own words. Nothing is converted without being counted
 * in `assumptions`.
 *
 * Throws FileFault when the mapping names a heading that the table lacks, or gives once what a column says.
 *
 * @example
 * ```ts
 * import { mapTable, parseMapping, readTable } from "overiron";
 * const bytes = new TextEncoder().encode("Place,Depth\nTop field,4in\n");
 * const table = mapTable(await readTable({ name: "log.csv", bytes }), parseMapping(JSON.stringify({
 *   schema: "overiron-columns/1",
 *   columns: [{ heading: "Place", field: "site" }, { heading: "Depth", field: "depth_cm" }],
 * })));
 * if (table.headings[1] !== "depth_cm" || table.cell(0, 1) !== "10.16") throw new Error("wrong");
 * if (table.place(0, 1).line !== 2 || table.source?.written(0, 1) !== "4in") throw new Error("wrong");
 * ```
 */
export function mapTable(table: Table, mapping: ColumnMapping, options: MapTableOptions = {}): MappedTable {
  const { file, rowCount } = table;
  const name = mapping.table ?? "signals";
  const role = ROLES[name];
  const own = table.headings.map(asFieldName);
  const guarded = options.guarded ?? own.includes(REJECTED_COLUMNS[2]);
  // Row by row, once: a table may keep no more than the row that was read last.
  const source: string[][] = table.headings.map(() => new Array(rowCount).fill(""));
  const blank: boolean[] = new Array(rowCount).fill(true);
  for (let row = 0; row < rowCount; row++) {
    for (let column = 0; column < source.length; column++) {
      const cell = table.cell(row, column);
      if (cell === "") continue;
      if (blank[row] && cell.trim() !== "") blank[row] = false;
      source[column]![row] = guarded ? restoreCell(cell) : cell;
    }
  }
  const sourceCell = (row: number, column: number): string => source[column]?.[row] ?? "";
  const remarks = new Remarks();
  const counts = new Map<string | null, Map<string, { count: number }>>();
  const remark = (row: number, column: number, field: string | null, text: string, value: string): void => {
    let own = counts.get(field);
    if (own === undefined) counts.set(field, own = new Map());
    const known = own.get(text);
    if (known !== undefined) known.count++;
    else own.set(text, remarks.add(role, field, text, { file, line: table.place(row, column).line, value }));
  };

  const entries = entriesOf(table, mapping, name);
  const columns = new Map<string, MadeColumn>();
  const add = (field: string, from: readonly number[]): MadeColumn => {
    const known = columns.get(field);
    if (known !== undefined) return known;
    const made: MadeColumn = { name: field, from, cells: new Array(rowCount).fill(""), faults: new Map() };
    columns.set(field, made);
    return made;
  };
  const readings = readingsConverter(mapping.readings);
  const emptyMarks = new Set(mapping.empty.map(foldWord));

  /** Converts a whole source column once a distinct text; `give` gets each row's result. */
  const convertAll = (entry: Entry, give: (row: number, made: Converted, written: string) => void): void => {
    const convert = converterOf(entry.column, entry.field, mapping, readings);
    const isReading = entry.column.field === "readings" || entry.field?.kind === "readings";
    const known = new Map<string, Converted>();
    for (let row = 0; row < rowCount; row++) {
      const written = sourceCell(row, entry.at);
      let made = known.get(written);
      if (made === undefined) {
        const text = foldWord(written);
        made = written.trim() === ""
          ? { text: "", notes: [] }
          : emptyMarks.has(text) && !(isReading && /^[-\u2010-\u2015\u2212]+$/.test(text))
          ? { text: "", notes: [MAPPING_NOTES.empty] }
          : convert(written);
        if (known.size < 50_000) known.set(written, made);
      }
      give(row, made, written);
    }
  };
  const put = (column: MadeColumn, row: number, made: Converted, at: number, written: string): void => {
    if ("fault" in made) {
      column.faults.set(row, made.fault);
      column.cells[row] = written;
      return;
    }
    column.cells[row] = made.text;
    for (const note of made.notes) remark(row, at, column.name, note, written);
  };

  const passColumns = new Map<string, Entry[]>();
  for (const entry of entries) {
    const field = entry.column.field!;
    if (entry.column.pass !== undefined) {
      passColumns.set(field, [...passColumns.get(field) ?? [], entry]);
      continue;
    }
    if (field === "readings") {
      const right = add("readings_right", [entry.at]), left = add("readings_left", [entry.at]);
      convertAll(entry, (row, made, written) => {
        const parted = "fault" in made ? made : partDirections(made.text, mapping.readings.direction);
        if ("fault" in parted || "fault" in made) {
          put(right, row, parted as Converted, entry.at, written);
          return;
        }
        right.cells[row] = parted.right;
        left.cells[row] = parted.left;
        for (const note of [...made.notes, ...parted.notes]) {
          remark(row, entry.at, "readings_right", note, written);
        }
      });
      continue;
    }
    const target = field === "iron_distance" ? "iron_evidence" : field;
    if (columns.has(target)) {
      throw new FileFault(`Cannot use the mapping on ${file}: two columns mean ${target}`, {
        file,
        column: table.headings[entry.at]!,
      });
    }
    const made = add(target, [entry.at]);
    convertAll(entry, (row, cell, written) => put(made, row, cell, entry.at, written));
  }
  for (const [field, list] of passColumns) {
    list.sort((a, b) => a.column.pass! - b.column.pass!);
    const [odd, even] = [0, 1].map((rest) =>
      list.filter((each) => (each.column.pass! - list[0]!.column.pass!) % 2 === rest)
    ) as [Entry[], Entry[]];
    const { direction } = mapping.readings;
    const sides: [string, Entry[], string | null][] = field !== "readings"
      ? [[field, list, null]]
      : direction === "not-known"
      ? [["readings_right", list, READING_CELL_NOTES.notKnown], ["readings_left", [], null]]
      : direction === "in-turn-from-left"
      ? [["readings_right", even, READING_CELL_NOTES.fromLeft], [
        "readings_left",
        odd,
        READING_CELL_NOTES.fromLeft,
      ]]
      : [["readings_right", odd, READING_CELL_NOTES.inTurn], [
        "readings_left",
        even,
        READING_CELL_NOTES.inTurn,
      ]];
    for (const [side, part, why] of sides) {
      const made = add(side, part.map((each) => each.at));
      const passes: string[][] = Array.from({ length: rowCount }, () => []);
      const failed = new Map<number, string>();
      for (const entry of part) {
        convertAll(entry, (row, cell, written) => {
          if ("fault" in cell) failed.set(row, cell.fault);
          else {
            passes[row]!.push(cell.text);
            for (const note of cell.notes) remark(row, entry.at, side, note, written);
          }
        });
      }
      for (let row = 0; row < rowCount && part.length > 0; row++) {
        const written = part.map((each) => sourceCell(row, each.at).trim()).join(" | ");
        const fault = failed.get(row) ??
          (field === "readings" && mapping.readings.direction === undefined &&
              passes[row]!.some((each) => each !== "")
            ? "holds both directions: the mapping must say how they are told apart"
            : null);
        const joined = fault === null ? joinPasses(passes[row]!, mapping.readings.empty_pass) : { fault };
        put(made, row, joined, part[0]!.at, written);
        if (why !== null && made.cells[row] !== "" && !made.faults.has(row)) {
          remark(row, part[0]!.at, side, why, written);
        }
      }
    }
  }
  if (name === "signals" || name === "trials") {
    for (const [side, other] of [["right", "left"], ["left", "right"]] as const) {
      const there = columns.get(`readings_${other}`);
      if (there === undefined || columns.has(`readings_${side}`)) continue;
      add(`readings_${side}`, []);
      const first = blank.indexOf(false);
      for (let row = first; first >= 0 && row < rowCount; row++) {
        if (!blank[row]) remark(row, 0, `readings_${side}`, MAPPING_NOTES.noDirection(side), "");
      }
    }
  }
  mapFinds({ columns, rowCount, add, remark }, mapping, entries);
  for (const [field, value] of Object.entries(mapping.constants)) {
    if (columns.has(field)) {
      throw new FileFault(
        `Cannot use the mapping on ${file}: what it gives once must not have a column, got both for ${field}`,
        { file, column: table.headings[columns.get(field)!.from[0] ?? 0] ?? field },
      );
    }
    const made = add(field, []);
    for (let row = 0; row < rowCount; row++) {
      if (blank[row]) continue;
      made.cells[row] = value;
      remark(row, 0, field, MAPPING_NOTES.constant, value);
    }
  }
  if (mapping.ids === "row-number" && !columns.has(IDS[name])) {
    const made = add(IDS[name], []);
    const lineColumn = own.indexOf(REJECTED_COLUMNS[1]);
    for (let row = 0; row < rowCount; row++) {
      if (blank[row]) continue;
      const line = lineColumn < 0 ? "" : table.cell(row, lineColumn).trim();
      made.cells[row] = `line-${line === "" ? table.place(row, 0).line : line}`;
      remark(row, 0, IDS[name], MAPPING_NOTES.id, made.cells[row]!);
    }
  }

  const mapped = [...columns.values()];
  const used = new Set(mapping.columns.map((each) => each.heading));
  const rest = table.headings.flatMap((heading, at) =>
    heading === "" || used.has(heading) || entries.some((each) => each.at === at) ||
      (REJECTED_COLUMNS as readonly string[]).includes(own[at]!)
      ? []
      : [at]
  );
  const headings = [...mapped.map((each) => each.name), ...rest.map((at) => table.headings[at]!)];
  const columnOf = (column: number): number =>
    column < mapped.length ? mapped[column]?.from[0] ?? -1 : rest[column - mapped.length] ?? -1;
  const cell = (row: number, column: number): string =>
    column < mapped.length
      ? mapped[column]?.cells[row] ?? ""
      : rest[column - mapped.length] === undefined
      ? ""
      : sourceCell(row, rest[column - mapped.length]!);
  return {
    file,
    headings,
    rowCount,
    cell,
    width: (row) =>
      table.width(row) === table.headings.length
        ? headings.length
        : Math.min(table.width(row), headings.length - 1),
    fault: (row) => table.fault(row),
    place: (row, column) => table.place(row, Math.max(0, columnOf(column))),
    source: {
      table,
      columnOf,
      written: (row, column) => {
        const from = column < mapped.length ? mapped[column]?.from ?? [] : [columnOf(column)];
        if (from.length === 0 || from[0] === -1) return cell(row, column);
        return from.map((at) => sourceCell(row, at)).join(" | ");
      },
    },
    ...(table.notes === undefined ? {} : { notes: table.notes }),
    cellFault: (row, column) => mapped[column]?.faults.get(row) ?? null,
    assumptions: remarks.list(),
  };
}
