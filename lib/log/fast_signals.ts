import {
  type Applied,
  type ApplySchemaOptions,
  beginSchema,
  type RowInHand,
  type RowSchema,
} from "./apply_schema.ts";
import { restoreCell } from "./csv_text.ts";
import { IdTable } from "./fast_ids.ts";
import { PassesTable } from "./fast_readings.ts";
import type { ByteTable } from "./fast_table.ts";
import { AT_FAULT, WordTable } from "./fast_words.ts";
import type { Field } from "./fields.ts";
import type { MachineOfRow } from "./_machine_of_row.ts";
import type { MachinesFile } from "./machines.ts";
import { CellFault, readCell } from "./read_cell.ts";
import { READINGS_NOTES, readReadings, type ReadReadingsOptions } from "./read_readings.ts";
import type { Passes } from "./rows.ts";
import { DIG_NOTES, FIND_FIELDS, type SignalDraft } from "./_signal_row.ts";

const BLOCK_ROWS = 512;
const LONGEST_ID_BYTES = 100, LONGEST_TEXT_BYTES = 20_000, LONGEST_READINGS = 2000;
const APOSTROPHE = 39;
/** The parts of a find, in the order in which a row of `finds` holds their codes. */
export const FIND_PARTS = [
  "find_id",
  "what",
  "metal",
  "keep",
  "depth_cm",
  "readings_alone",
  "reported",
] as const;

/** The fields of a signal and its outing that are kept as codes. */
export const CODED = [
  "outing_id",
  "date",
  "site",
  "site_private",
  "observer",
  "ground",
  "moisture",
  "balance",
  "coil_height_cm",
  "holes_filled",
  "seen_at",
  "both_ways",
  "after_turn",
  "spot_moves",
  "iron_near",
  "tone_heard",
  "depth_indicated",
  "my_call",
  "rule_said",
  "rule_version",
  "dig_chance",
  "latitude",
  "longitude",
  "dug",
  "stopped_why",
  "hole_id",
  "result",
  "iron_evidence",
  "after_dig",
  "outcome_stated",
] as const;
export type CodedName = typeof CODED[number];

/** The readings that a signal and its outing hold, as numbers of cells in a `PassesTable`. */
export const PASSES = ["right", "left", "cross", "check_start", "check_end"] as const;
export type PassesName = typeof PASSES[number];

/** The accepted signals of a log in columns, by data row; rows not accepted hold nothing. */
export interface SignalTable extends Omit<Applied<unknown>, "rows" | "records"> {
  readonly table: ByteTable;
  /** The data row of each accepted signal, from 0. */
  readonly rows: Uint32Array;
  readonly count: number;
  signalId(row: number): string;
  /** Whether an accepted signal has the id. */
  hasId(id: string): boolean;
  notes(row: number): string | null;
  readonly words: Readonly<Record<CodedName, WordTable>>;
  /** Null where the log has no such column. */
  readonly codes: Readonly<Record<CodedName, Int32Array | null>> & { readonly dug: Int32Array };
  readonly passes: PassesTable;
  readonly cells: Readonly<Record<PassesName, Int32Array | null>>;
  /** Which of `machinesOf` a signal has. */
  readonly of: Int32Array;
  readonly machinesOf: readonly MachineOfRow[];
  /** By row: the first of its finds, and how many it has. */
  readonly findStarts: Int32Array;
  readonly findCounts: Uint8Array;
  /** The codes of `FIND_PARTS`, find after find; for readings_alone the number of its cell. */
  readonly finds: Int32Array;
  readonly findWords: Readonly<Record<typeof FIND_PARTS[number], WordTable>>;
  /** Rows, rejected ones among them, in which anything but "no" stands in site_private. */
  readonly marked: readonly number[];
}

export interface ReadSignalsOptions extends ApplySchemaOptions {
  readonly machines: MachinesFile;
  readonly machineOf: (
    row: RowInHand,
    settings: string | null,
    machine: string | null,
  ) => MachineOfRow | null;
  /** The numbers of the finds that the headings have. */
  readonly numbers: readonly number[];
  readonly readings: ReadReadingsOptions;
}

const tidy = (name: string): string => restoreCell(name).trim().replace(/\s+/g, " ").toLowerCase();

/** Where the cells of a block of rows begin and end, row after row. */
interface Cuts {
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

/** Puts the codes of one column's words in their place, and marks rows with a word at fault as odd. */
function readWords(
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

/**
 * Reads the signals of a table into columns: what `applySchema` accepts, rejects, assumes and flags, to the letter.
 *
 * A row in which every cell is as it should be is read from its bytes. Any other row is read by the steps of
 * `applySchema` instead. Gives null where a row names an unknown machine.
 *
 * Throws as `applySchema` does.
 */
export function readSignals(
  table: ByteTable,
  schema: RowSchema<SignalDraft>,
  options: ReadSignalsOptions,
): SignalTable | null {
  const { machines, machineOf, numbers, readings: readOptions, ...apply } = options;
  const { body, delimiter, quote, rowCount } = table;
  const width = table.headings.length;
  const ids = new IdTable(body);
  const steps = beginSchema(table, schema, { ...apply, ids });
  const { columnOf, restore } = steps;
  const { fields } = schema;
  const columnNamed = new Map<string, number>();
  fields.forEach(({ name }, i) => {
    if (columnOf[i]! >= 0) columnNamed.set(name, columnOf[i]!);
  });
  const knownMachines = new Set(machines.machines.map(({ machine }) => machine.toLowerCase()));
  const knownSettings = new Set(machines.settings.map(({ settings }) => settings.toLowerCase()));
  if ([...knownMachines, ...knownSettings].some((name) => name.startsWith("'"))) return null;

  const text = (start: number, end: number): string => table.text(start, end);
  /** Whether the field's own rule takes the cell as it stands, and what it then means. */
  const meaning = (field: Field) => {
    const isNumber = field.kind === "number" || field.kind === "depth";
    return (start: number, end: number): string | number | null | undefined => {
      const cell = text(start, end);
      // A comma in a number asks for the decimal mark of the whole table.
      if (isNumber && (cell.includes(",") || apply.decimal === "comma")) return undefined;
      const value = readCell(field, restore ? restoreCell(cell) : cell);
      if (value instanceof CellFault) return undefined;
      return field.name === "site" && typeof value === "string" ? value.replace(/\s+/g, " ") : value;
    };
  };
  const tables = new Map<string, WordTable>();
  const wordsOf = (name: string): WordTable => {
    const base = name.replace(/_\d+$/, "");
    let words = tables.get(base);
    if (words === undefined) {
      const field = fields.find((each) => each.name === base)!;
      words = new WordTable(body, meaning(field));
      tables.set(base, words);
    }
    return words;
  };

  // The columns that are read as words, and where each code goes.
  const wordColumns: { column: number; words: WordTable; codes: Int32Array }[] = [];
  const coded = (name: string, needed = false): Int32Array | null => {
    const column = columnNamed.get(name);
    if (column === undefined && !needed) return null;
    const codes = new Int32Array(rowCount);
    if (column !== undefined) wordColumns.push({ column, words: wordsOf(name), codes });
    return codes;
  };
  const nothing = new Int32Array(rowCount);
  const settingsCodes = coded("settings") ?? nothing, machineCodes = coded("machine") ?? nothing;
  const discriminationCodes = coded("discrimination") ?? nothing;
  const codes = Object.fromEntries(CODED.map((name) => [name, coded(name, name === "dug")])) as
    & Record<
      CodedName,
      Int32Array | null
    >
    & { dug: Int32Array };
  const counts = (["right", "left", "cross"] as const).map((side) => ({
    silent: coded(`silent_${side}`),
    silentWords: wordsOf(`silent_${side}`),
    passes: coded(`passes_${side}`),
    passesWords: wordsOf(`passes_${side}`),
  }));
  // The dates of a log, say when an outing began, are checked though nothing of them is kept.
  for (const { name } of fields) {
    if (name === "started_at" || name === "ended_at") coded(name);
  }
  const findColumns = numbers.map((number) => {
    const named = (part: string): string => number === 1 ? part : `${part}_${number}`;
    return {
      codes: FIND_PARTS.map((part) => part === "readings_alone" ? null : coded(named(part))),
      alone: columnNamed.get(named("readings_alone")) ?? -1,
      aloneName: named("readings_alone"),
    };
  });
  if (FIND_PARTS.length !== FIND_FIELDS.length) return null;

  const passes = new PassesTable(body, text, rowCount * 3);
  const sides = PASSES.map((name) => {
    const heading = name.startsWith("check_") ? name : `readings_${name}`;
    const column = columnNamed.get(heading) ?? -1;
    const counted = name === "right"
      ? counts[0]
      : name === "left"
      ? counts[1]
      : name === "cross"
      ? counts[2]
      : undefined;
    const has = column >= 0 || counted?.silent != null || counted?.passes != null;
    return { heading, column, counted: counted ?? null, cells: has ? new Int32Array(rowCount) : null };
  });
  const cells = Object.fromEntries(PASSES.map((name, i) => [name, sides[i]!.cells])) as Record<
    PassesName,
    Int32Array | null
  >;
  const idColumn = columnNamed.get("signal_id")!;
  const notesColumn = columnNamed.get("notes") ?? -1;
  const idStarts = new Uint32Array(rowCount), idEnds = new Uint32Array(rowCount);
  const noteStarts = notesColumn < 0 ? nothing : new Int32Array(rowCount);
  const noteEnds = notesColumn < 0 ? nothing : new Int32Array(rowCount);
  const idTexts = new Map<number, string>(), noteTexts = new Map<number, string | null>();

  const rows = new Uint32Array(rowCount);
  const of = new Int32Array(rowCount);
  const findStarts = new Int32Array(rowCount), findCounts = new Uint8Array(rowCount);
  let finds = new Int32Array(FIND_PARTS.length * Math.max(64, rowCount));
  let count = 0, findCount = 0;

  // Remarks of a row wait here until it is accepted.
  const remarks: {
    kind: "assume" | "flag";
    name: string | null;
    text: string;
    entry: { count: number } | null;
  }[] = [];
  const remarkNumbers = new Map<string, number>();
  const remarkNumber = (kind: "assume" | "flag", name: string | null, text: string): number => {
    const key = `${kind}\n${name ?? ""}\n${text}`;
    let number = remarkNumbers.get(key);
    if (number === undefined) {
      number = remarks.length;
      remarks.push({ kind, name, text, entry: null });
      remarkNumbers.set(key, number);
    }
    return number;
  };
  const dugName = columnNamed.has("dug") ? "dug" : null;
  const FOUND_SO_DUG = remarkNumber("assume", dugName, DIG_NOTES.foundSoDug);
  const NOT_DUG = remarkNumber("assume", dugName, DIG_NOTES.notDug);
  const UNDUG_FIND = remarkNumber("flag", "dug", DIG_NOTES.undugFind);
  const EMPTY_FIND = remarkNumber("flag", "result", DIG_NOTES.emptyFind);
  const NO_READINGS = remarkNumber("flag", null, DIG_NOTES.noReadings);
  const pending = new Int32Array(1024);
  let pendingCount = 0;

  // Which machine a row has depends on three words only.
  const machinesOf: MachineOfRow[] = [];
  const machineNotes: number[][] = [];
  const machineAt = new Map<number, number>();
  const settingsWords = wordsOf("settings"), machineWords = wordsOf("machine");
  const discriminationWords = wordsOf("discrimination");
  let lastKey = -1, lastMachine = AT_FAULT;
  const findMachine = (row: number): number => {
    const key = (settingsCodes[row]! * 0x100000 + machineCodes[row]!) * 64 + discriminationCodes[row]!;
    if (key === lastKey) return lastMachine;
    let at = machineAt.get(key);
    if (at === undefined) {
      const named = {
        settings: settingsWords.values[settingsCodes[row]!] as string | null,
        machine: machineWords.values[machineCodes[row]!] as string | null,
        discrimination: discriminationWords.values[discriminationCodes[row]!] as string | null,
      };
      const notes: number[] = [];
      let faulty = false;
      const value = (name: string): string | null => named[name as keyof typeof named] ?? null;
      const found = machineOf(
        {
          record: row + 1,
          line: 0,
          has: (name) => columnNamed.has(name),
          text: value,
          value,
          number: () => null,
          fault: () => void (faulty = true),
          assume: (name, note) => void notes.push(remarkNumber("assume", name, note)),
          flag: (name, note) => void notes.push(remarkNumber("flag", name, note)),
        },
        named.settings,
        named.machine,
      );
      if (found === null || faulty) at = AT_FAULT;
      else {
        at = machinesOf.length;
        machinesOf.push(found);
        machineNotes.push(notes);
      }
      machineAt.set(key, at);
    }
    lastKey = key;
    lastMachine = at;
    return at;
  };
  const machineNumber = (wanted: MachineOfRow): number => {
    const at = machinesOf.findIndex((each) =>
      each.machine === wanted.machine && each.settings === wanted.settings &&
      each.discrimination === wanted.discrimination
    );
    if (at >= 0) return at;
    machineNotes.push([]);
    return machinesOf.push(wanted) - 1;
  };

  const offSteps = new Map<string, number>(),
    fewers = new Map<string, number>(),
    usuals = new Map<string, number>();
  const noted = (
    all: Map<string, number>,
    kind: "assume" | "flag",
    heading: string,
    note: string,
  ): number => {
    let number = all.get(heading);
    if (number === undefined) all.set(heading, number = remarkNumber(kind, heading, note));
    return number;
  };
  /** Reads a readings cell with its counts (-1 for none). Gives its number, 0 for nothing logged, or `AT_FAULT`. */
  const readPasses = (
    start: number,
    end: number,
    heading: string,
    scale: MachineOfRow["machine"]["scale"],
    silent: number,
    total: number,
  ): number => {
    if (start === end && silent <= 0 && total <= 0) return 0;
    if (start < end && passes.read(start, end, scale)) {
      const written = passes.lastReadings + (silent < 0 ? passes.lastSilent : silent);
      if (silent >= 0 && passes.lastSilent > 0 && silent !== passes.lastSilent) return AT_FAULT;
      if (total >= 0 && total < written) return AT_FAULT;
      if (passes.lastOffStep) {
        pending[pendingCount++] = noted(offSteps, "flag", heading, READINGS_NOTES.offStep);
      }
      if (total > written) {
        if (passes.lastReadings === 1) {
          pending[pendingCount++] = noted(usuals, "assume", heading, READINGS_NOTES.usual);
        } else if (silent < 0) return AT_FAULT;
        pending[pendingCount++] = noted(fewers, "flag", heading, READINGS_NOTES.fewer);
      }
      return passes.take(
        start,
        end,
        silent < 0 ? passes.lastSilent : silent,
        total < 0 ? written : total,
      );
    }
    if (restore && body[start] === APOSTROPHE) return AT_FAULT;
    const cell = text(start, end).trim();
    if (cell.length > LONGEST_READINGS) return AT_FAULT;
    if (cell === "" && silent < 0 && total < 0) return 0;
    const read = readReadings(cell, {
      ...readOptions,
      scale,
      silent: silent < 0 ? null : silent,
      passes: total < 0 ? null : total,
    });
    if ("fault" in read) return AT_FAULT;
    for (const note of read.assumptions) pending[pendingCount++] = remarkNumber("assume", heading, note);
    for (const note of read.flags) pending[pendingCount++] = remarkNumber("flag", heading, note);
    return passes.put(read.passes);
  };

  const cellStarts = new Int32Array(BLOCK_ROWS * width), cellEnds = new Int32Array(BLOCK_ROWS * width);
  const cuts: Cuts = { starts: cellStarts, ends: cellEnds, width };
  /** 1 where the steps of the schema have to read the row. */
  const odd = new Uint8Array(BLOCK_ROWS);
  const dugWords = wordsOf("dug");
  const YES = dugWords.codeOfValue("yes"),
    NO = dugWords.codeOfValue("no"),
    STOPPED = dugWords.codeOfValue("stopped");
  const NOTHING_FOUND = wordsOf("result").codeOfValue("nothing-found");
  const PRIVATE_NO = wordsOf("site_private").codeOfValue("no");
  const marked: number[] = [];
  const resultCodes = codes.result ?? nothing, statedCodes = codes.outcome_stated ?? nothing;
  const stoppedCodes = codes.stopped_why ?? nothing, siteCodes = codes.site ?? nothing;
  const privateCodes = codes.site_private;
  const parts = FIND_PARTS.length;

  /** Reads a row whose words are all sound. False where the steps of the schema have to read it. */
  const readRow = (row: number, base: number): boolean => {
    const idStart = cellStarts[base + idColumn]!, idEnd = cellEnds[base + idColumn]!;
    const first = body[idStart]!, last = body[idEnd - 1]!;
    if (
      idStart === idEnd || idEnd - idStart > LONGEST_ID_BYTES || first <= 32 || first > 126 || last <= 32 ||
      last > 126 || (restore && first === APOSTROPHE)
    ) return false;
    const slot = ids.freeSlot(idStart, idEnd);
    if (slot < 0) return false;
    const machine = findMachine(row);
    if (machine === AT_FAULT) return false;
    if (siteCodes[row] === 0) return false;
    const { scale } = machinesOf[machine]!.machine;
    pendingCount = 0;
    for (const note of machineNotes[machine]!) pending[pendingCount++] = note;
    const mark = passes.mark;
    for (let i = 0; i < 3; i++) {
      const { column, heading, counted, cells } = sides[i]!;
      if (cells === null) continue;
      let silent = -1, total = -1;
      if (counted!.silent !== null) {
        const code = counted!.silent[row]!;
        if (code !== 0) silent = counted!.silentWords.values[code] as number;
      }
      if (counted!.passes !== null) {
        const code = counted!.passes[row]!;
        if (code !== 0) total = counted!.passesWords.values[code] as number;
      }
      const start = column < 0 ? 0 : cellStarts[base + column]!,
        end = column < 0 ? 0 : cellEnds[base + column]!;
      const cell = readPasses(start, end, heading, scale, silent, total);
      if (cell < 0) {
        passes.forget(mark);
        return false;
      }
      cells[row] = cell;
    }
    if ((cells.right?.[row] ?? 0) === 0 && (cells.left?.[row] ?? 0) === 0) {
      pending[pendingCount++] = NO_READINGS;
    }

    let found = 0;
    if ((findCount + findColumns.length) * parts > finds.length) {
      const out = new Int32Array(finds.length * 2 + findColumns.length * parts);
      out.set(finds);
      finds = out;
    }
    for (let n = 0; n < findColumns.length; n++) {
      const { codes: each, alone, aloneName } = findColumns[n]!;
      const into = (findCount + found) * parts;
      let filled = 0;
      for (let part = 0; part < parts; part++) {
        const column = each[part]!;
        const code = column === null ? 0 : column[row]!;
        finds[into + part] = code;
        filled |= code;
      }
      if (alone >= 0) {
        const start = cellStarts[base + alone]!, end = cellEnds[base + alone]!;
        if (start < end) {
          const cell = readPasses(start, end, aloneName, scale, -1, -1);
          if (cell < 0) {
            passes.forget(mark);
            return false;
          }
          finds[into + 5] = cell;
          filled |= cell;
        }
      }
      if (filled !== 0) found++;
    }

    const dug = codes.dug[row]!;
    let nowDug = dug;
    if (dug === 0) {
      const something = found > 0 || resultCodes[row] !== 0 || statedCodes[row] !== 0;
      nowDug = something ? YES : stoppedCodes[row] !== 0 ? STOPPED : NO;
      if (nowDug !== STOPPED) pending[pendingCount++] = something ? FOUND_SO_DUG : NOT_DUG;
    } else if (dug === NO && (found > 0 || resultCodes[row] !== 0)) pending[pendingCount++] = UNDUG_FIND;
    if (resultCodes[row] === NOTHING_FOUND && found > 0) pending[pendingCount++] = EMPTY_FIND;

    for (let i = 3; i < 5; i++) {
      const { column, heading, cells } = sides[i]!;
      if (cells === null) continue;
      const start = cellStarts[base + column]!, end = cellEnds[base + column]!;
      if (start === end) continue;
      const cell = readPasses(start, end, heading, scale, -1, -1);
      if (cell < 0) {
        passes.forget(mark);
        return false;
      }
      cells[row] = cell;
    }
    if (notesColumn >= 0) {
      const start = cellStarts[base + notesColumn]!, end = cellEnds[base + notesColumn]!;
      if (start < end) {
        const a = body[start]!, b = body[end - 1]!;
        if (
          end - start > LONGEST_TEXT_BYTES || a <= 32 || a > 126 || b <= 32 || b > 126 ||
          (restore && a === APOSTROPHE)
        ) {
          const cell = text(start, end);
          const value = (restore ? restoreCell(cell) : cell).trim();
          if (value.length > LONGEST_TEXT_BYTES) {
            passes.forget(mark);
            return false;
          }
          noteTexts.set(row, value === "" ? null : value);
        }
        noteStarts[row] = start;
        noteEnds[row] = end;
      }
    }

    ids.addAt(slot, idStart, idEnd);
    idStarts[row] = idStart;
    idEnds[row] = idEnd;
    of[row] = machine;
    codes.dug[row] = nowDug;
    findStarts[row] = findCount;
    findCounts[row] = found;
    findCount += found;
    for (let i = 0; i < pendingCount; i++) {
      const remark = remarks[pending[i]!]!;
      if (remark.entry === null) remark.entry = steps.remark(remark.kind, row, remark.name, remark.text);
      else remark.entry.count++;
    }
    rows[count++] = row;
    return true;
  };

  /** Puts a signal that the steps of the schema made into the columns. */
  const put = (row: number, { signal, outing, outing_id }: SignalDraft, machine: MachineOfRow): void => {
    const given: Record<CodedName, string | number | null> = {
      ...outing,
      ...signal,
      ...signal.kept_private!,
      balance: outing.balance,
      holes_filled: outing.holes_filled ?? null,
      outing_id,
      site_private: signal.kept_private!.site_private ? "yes" : null,
      rule_said: signal.rule_said ?? null,
      rule_version: signal.rule_version ?? null,
      outcome_stated: signal.outcome_stated ?? null,
      coil_height_cm: signal.coil_height_cm ?? null,
      hole_id: null,
    };
    for (const name of CODED) {
      const column = codes[name];
      if (column !== null && name !== "hole_id") column[row] = wordsOf(name).codeOfValue(given[name]);
    }
    if (codes.hole_id !== null) {
      // The draft names a hole after its signal where the log gives none.
      const column = columnNamed.get("hole_id")!;
      const cell = table.cell(row, column);
      codes.hole_id[row] = wordsOf("hole_id").codeOfValue(
        (restore ? restoreCell(cell) : cell).trim() === "" ? null : signal.hole_id ?? null,
      );
    }
    const held: Record<PassesName, Passes | null> = {
      right: signal.right,
      left: signal.left,
      cross: signal.cross,
      check_start: outing.check_start,
      check_end: outing.check_end,
    };
    for (const name of PASSES) {
      const column = cells[name];
      if (column !== null) column[row] = passes.put(held[name]);
    }
    idTexts.set(row, signal.signal_id);
    noteTexts.set(row, signal.kept_private!.notes);
    of[row] = machineNumber(machine);
    findStarts[row] = findCount;
    findCounts[row] = signal.finds.length;
    while ((findCount + signal.finds.length) * parts > finds.length) {
      const out = new Int32Array(finds.length * 2);
      out.set(finds);
      finds = out;
    }
    signal.finds.forEach((find) => {
      const named = find.find_id === `${find.hole_id}-${find.order}` ? null : find.find_id;
      const into = findCount++ * parts;
      FIND_PARTS.forEach((part, k) => {
        finds[into + k] = part === "readings_alone"
          ? passes.put(find.readings_alone)
          : wordsOf(part).codeOfValue(part === "find_id" ? named : find[part]);
      });
    });
    rows[count++] = row;
  };

  const settingsColumn = columnNamed.get("settings") ?? -1, machineColumn = columnNamed.get("machine") ?? -1;
  const privateColumn = columnNamed.get("site_private") ?? -1;
  /** Lets the steps of the schema read a row. False where the file names a machine that there is none of. */
  const stepRow = (row: number): boolean => {
    if (table.width(row) === width) {
      const named = machineColumn < 0 ? "" : tidy(table.cell(row, machineColumn));
      const set = settingsColumn < 0 ? "" : tidy(table.cell(row, settingsColumn));
      if ((named !== "" && !knownMachines.has(named)) || (set !== "" && !knownSettings.has(set))) {
        return false;
      }
    }
    if (privateColumn >= 0) {
      const word = restoreCell(table.cell(row, privateColumn)).trim().toLowerCase();
      if (word !== "" && word !== "no") marked.push(row);
    }
    for (const { codes } of wordColumns) codes[row] = 0;
    for (const { cells } of sides) if (cells !== null) cells[row] = 0;
    const draft = steps.step(row);
    if (draft === null) return true;
    const machine = machines.machines.find((each) => each.machine === draft.signal.machine)!;
    put(row, draft, {
      machine,
      settings: draft.signal.settings,
      discrimination: draft.signal.discrimination,
    });
    return true;
  };

  for (let begin = 0; begin < rowCount; begin += BLOCK_ROWS) {
    const end = Math.min(rowCount, begin + BLOCK_ROWS);
    for (let row = begin; row < end; row++) {
      const marks = table.marks(row);
      const base = (row - begin) * width;
      const isCut = marks === 0
        ? cutPlain(body, table.start(row), table.end(row), delimiter, cuts, base)
        : marks === 1 && cutQuoted(body, table.start(row), table.end(row), { delimiter, quote }, cuts, base);
      odd[row - begin] = isCut ? 0 : 1;
    }
    for (const { column, words, codes } of wordColumns) {
      readWords(cuts, odd, column, begin, end, words, codes);
    }
    for (let row = begin; row < end; row++) {
      if (odd[row - begin] === 0 && readRow(row, (row - begin) * width)) {
        if (privateCodes !== null && privateCodes[row] !== 0 && privateCodes[row] !== PRIVATE_NO) {
          marked.push(row);
        }
      } else if (!stepRow(row)) return null;
    }
  }

  return {
    ...steps.finish(count),
    table,
    rows,
    count,
    hasId: (id) => ids.has(id),
    signalId: (row) => idTexts.get(row) ?? text(idStarts[row]!, idEnds[row]!),
    notes(row) {
      const written = noteTexts.get(row);
      if (written !== undefined) return written;
      return noteStarts[row] === noteEnds[row] ? null : text(noteStarts[row]!, noteEnds[row]!);
    },
    words: Object.fromEntries(CODED.map((name) => [name, wordsOf(name)])) as Record<CodedName, WordTable>,
    codes,
    passes,
    cells,
    of,
    machinesOf,
    findStarts,
    findCounts,
    finds,
    findWords: Object.fromEntries(
      FIND_PARTS.map((part) => [part, wordsOf(part)]),
    ) as SignalTable["findWords"],
    marked,
  };
}
