import { REJECTED_COLUMNS, Remarks } from "./apply_schema.ts";
import { restoreCell } from "./csv_text.ts";
import type { Field } from "./fields.ts";
import { FileFault } from "./file_fault.ts";
import {
  type ColumnMapping,
  IRON_DISTANCES_CM,
  isReadings,
  lengthUnit,
  MAPPED_FIELDS,
  type MappedColumn,
  mappedField,
  type MappedTableName,
} from "./mapping.ts";
import { convertDate } from "./mapping_dates.ts";
import { type Converted, convertLength, convertNumber } from "./mapping_numbers.ts";
import { joinPasses, partDirections, READING_CELL_NOTES, readingsConverter } from "./mapping_readings.ts";
import { foldWord } from "./mapping_words.ts";
import { nearestWord } from "./nearest_word.ts";
import type { Remark } from "./report.ts";
import { asFieldName, type Table } from "./table.ts";

/** The sentences that a mapping may add to the assumptions, beside those of numbers, dates and readings. */
export const MAPPING_NOTES = {
  word: "A word of the log was put into the kit's own word, as the mapping says",
  empty: "A mark of the mapping was read as an empty cell",
  constant: "What the mapping gives once was taken for every row",
  id: "A row without a name of its own was named after its line",
  noDirection: (side: string): string =>
    `The log has no readings with the coil going ${
      side === "right" ? "left to right" : "right to left"
    }: none were logged`,
  depthOrder: "Depth words in order were put into shallow, middle and deep",
  findWord: "A find word was given its metal and keeping by the mapping's table",
  unknownFind: "A find word is not in the mapping's table: it says nothing of metal or keeping",
  findResult: "A find word was read as the result of the hole, by the mapping's table",
  split: "A cell with several finds was split into them, as the mapping says",
  distance: (touching: number, plug: number, hole: number): string =>
    `The distance to iron was put into words: touching up to ${touching} cm, in the plug up to ${plug} cm, in the hole up to ${hole} cm, none beyond`,
} as const;

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

interface Column {
  readonly name: string;
  readonly from: readonly number[];
  readonly cells: string[];
  readonly faults: Map<number, string>;
}

/** Ranks of words in order, put into the kit's three depth words by thirds. */
function depthWords(order: readonly string[]): ReadonlyMap<string, string> {
  const words = ["shallow", "middle", "deep"];
  return new Map(order.map((word, i) => [foldWord(word), words[Math.floor(3 * (i + 0.5) / order.length)]!]));
}

const wordMap = (words: Readonly<Record<string, string>> | undefined): ReadonlyMap<string, string> | null =>
  words === undefined ? null : new Map(Object.entries(words).map(([from, to]) => [foldWord(from), to]));

/** Makes the function that brings the cells of one column into the field's form. */
function converterOf(
  column: MappedColumn,
  field: Field | null,
  mapping: ColumnMapping,
  readings: (cell: string) => Converted,
): (cell: string) => Converted {
  const { decimal = "point", unit } = column;
  const words = wordMap(column.words);
  const refused = new Set((column.refuse ?? []).map(foldWord));
  const inWords = (cell: string): Converted | null => {
    if (refused.has(foldWord(cell))) return { fault: "is a word that the mapping refuses" };
    const word = words?.get(foldWord(cell));
    return word === undefined ? null : { text: word, notes: [MAPPING_NOTES.word] };
  };
  const plain = (cell: string): Converted => ({ text: cell, notes: [] });
  if (column.field === "iron_distance") {
    const { touching_cm, in_plug_cm, in_hole_cm } = { ...IRON_DISTANCES_CM, ...mapping.rule };
    const note = MAPPING_NOTES.distance(touching_cm, in_plug_cm, in_hole_cm);
    return (cell) => {
      const word = inWords(cell);
      if (word !== null) return word;
      const length = convertLength(cell, "cm", { decimal, ...(unit === undefined ? {} : { unit }) });
      if ("fault" in length) return length;
      const distance = Number(length.text);
      if (length.text === "" || !(distance >= 0)) {
        return { fault: "must be a distance of 0 or more, or a word of the mapping" };
      }
      return {
        text: distance <= touching_cm
          ? "touching"
          : distance <= in_plug_cm
          ? "in-plug"
          : distance <= in_hole_cm
          ? "in-hole"
          : "none",
        notes: [...length.notes, note],
      };
    };
  }
  if (column.field === "readings" || field?.kind === "readings") return readings;
  if (field === null) return plain;
  if (field.kind === "date" || field.kind === "time") {
    const kind = field.kind;
    return (cell) => convertDate(cell, kind, column);
  }
  const target = lengthUnit(field);
  if (target !== null) {
    const order = column.depth_order === undefined ? null : depthWords(column.depth_order);
    return (cell) => {
      const word = inWords(cell);
      if (word !== null) return word;
      const ranked = order?.get(foldWord(cell));
      if (ranked !== undefined) return { text: ranked, notes: [MAPPING_NOTES.depthOrder] };
      return convertLength(cell, target, { decimal, ...(unit === undefined ? {} : { unit }) });
    };
  }
  if (field.kind === "number") return (cell) => convertNumber(cell, decimal);
  if (words !== null || refused.size > 0) return (cell) => inWords(cell) ?? plain(cell);
  return plain;
}

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
  const columns = new Map<string, Column>();
  const add = (field: string, from: readonly number[]): Column => {
    const known = columns.get(field);
    if (known !== undefined) return known;
    const made: Column = { name: field, from, cells: new Array(rowCount).fill(""), faults: new Map() };
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
  const put = (column: Column, row: number, made: Converted, at: number, written: string): void => {
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
    const first = list[0]!.column.pass!;
    const inTurn = (odd: number): Entry[] => list.filter((each) => (each.column.pass! - first) % 2 === odd);
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
  addFinds();
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

  /** Gives the finds of each row their metal and keeping by the mapping's table, and splits cells with several. */
  function addFinds(): void {
    if (name !== "signals" && name !== "finds") return;
    const byWord = new Map(mapping.finds.map((each) => [foldWord(each.word), each]));
    const whats = [...columns.values()].filter((each) => /^what(?:_\d+)?$/.test(each.name));
    const numberOf = (column: Column): number => Number(/_(\d+)$/.exec(column.name)?.[1] ?? 1);
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

interface Entry {
  readonly column: MappedColumn;
  readonly field: Field | null;
  readonly at: number;
}

/** What each column of the table means: what the mapping says, and what headings with a field's own name say. */
function entriesOf(table: Table, mapping: ColumnMapping, name: MappedTableName): Entry[] {
  const entries: Entry[] = [];
  const isField = (field: string): boolean =>
    Object.hasOwn(MAPPED_FIELDS, field) || mappedField(name, field) !== null;
  const meant = new Set<string>();
  for (const column of mapping.columns) {
    const at = table.headings.indexOf(column.heading);
    if (at < 0) {
      const near = nearestWord(column.heading, table.headings);
      throw new FileFault(
        `Cannot use the mapping on ${table.file}: it names the heading ${
          JSON.stringify(column.heading)
        }, got none of it${near === null ? "" : `; nearest is ${JSON.stringify(near)}`}`,
        { file: table.file, line: table.place(-1, 0).line, column: column.heading },
      );
    }
    const field = column.field === undefined ? asFieldName(column.heading) : column.field;
    if (field === null || !isField(field)) continue;
    if (isReadings(field)) {
      meant.add(field);
      if (field === "readings") meant.add("readings_right").add("readings_left");
    } else meant.add(field === "iron_distance" ? "iron_evidence" : field);
    entries.push({ column: { ...column, field }, field: mappedField(name, field), at });
  }
  const named = new Set(mapping.columns.map((each) => each.heading));
  table.headings.forEach((heading, at) => {
    const field = asFieldName(heading);
    if (heading === "" || named.has(heading) || meant.has(field) || mappedField(name, field) === null) return;
    meant.add(field);
    entries.push({ column: { heading, field }, field: mappedField(name, field), at });
  });
  return entries;
}
