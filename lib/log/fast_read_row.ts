import { restoreCell } from "./csv_text.ts";
import type { Cuts } from "./fast_cuts.ts";
import type { PassesReader } from "./fast_read_passes.ts";
import type { RowStore } from "./fast_row_store.ts";
import { FIND_PARTS, FIND_PLACE } from "./fast_signal_table.ts";
import { AT_FAULT } from "./fast_words.ts";
import { DIG_NOTES } from "./_signal_row.ts";

const LONGEST_ID_BYTES = 100, LONGEST_TEXT_BYTES = 20_000;
const APOSTROPHE = 39;
const PARTS = FIND_PARTS.length;
const ALONE = FIND_PLACE.readings_alone;

/** Reads a row whose words are all sound. False, with nothing taken up, where the steps of the schema have to read it. */
export type RowReader = (row: number, base: number) => boolean;

/** Makes the reader of plain rows: `base` is where the cuts of a row begin. */
export function rowReader(store: RowStore, cuts: Cuts, readPasses: PassesReader): RowReader {
  const { table, columns, ids, machines, remarks, restore, of, finds, findStarts, findCounts } = store;
  const { idStarts, idEnds, notesColumn, noteStarts, noteEnds, noteTexts } = store;
  const { columnNamed, codes, passes, sides, finds: findColumns, nothing } = columns;
  const { body } = table;
  const { starts, ends } = cuts;
  const idColumn = columnNamed.get("signal_id")!;
  const dugWords = columns.wordsOf("dug");
  const YES = dugWords.codeOfValue("yes"),
    NO = dugWords.codeOfValue("no"),
    STOPPED = dugWords.codeOfValue("stopped");
  const NOTHING_FOUND = columns.wordsOf("result").codeOfValue("nothing-found");
  const resultCodes = codes.result ?? nothing, statedCodes = codes.outcome_stated ?? nothing;
  const stoppedCodes = codes.stopped_why ?? nothing, siteCodes = codes.site ?? nothing;
  const dugName = columnNamed.has("dug") ? "dug" : null;
  const FOUND_SO_DUG = remarks.number("assume", dugName, DIG_NOTES.foundSoDug);
  const NOT_DUG = remarks.number("assume", dugName, DIG_NOTES.notDug);
  const UNDUG_FIND = remarks.number("flag", "dug", DIG_NOTES.undugFind);
  const EMPTY_FIND = remarks.number("flag", "result", DIG_NOTES.emptyFind);
  const NO_READINGS = remarks.number("flag", null, DIG_NOTES.noReadings);
  const isPlain = (first: number, last: number): boolean =>
    first > 32 && first <= 126 && last > 32 && last <= 126 && !(restore && first === APOSTROPHE);
  const rightCells = sides[0]!.cells ?? nothing, leftCells = sides[1]!.cells ?? nothing;

  /** Reads the readings of both directions and across. */
  const readSides = (row: number, base: number, machine: number): boolean => {
    const { scale } = machines.list[machine]!.machine;
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
      const start = column < 0 ? 0 : starts[base + column]!, end = column < 0 ? 0 : ends[base + column]!;
      const cell = readPasses(start, end, heading, scale, silent, total);
      if (cell < 0) return false;
      cells[row] = cell;
    }
    if (rightCells[row] === 0 && leftCells[row] === 0) remarks.add(NO_READINGS);
    return true;
  };

  /** Reads the finds behind those taken up. Gives how many there are, or -1. */
  const readFinds = (row: number, base: number, machine: number): number => {
    const { scale } = machines.list[machine]!.machine;
    finds.reserve(findColumns.length);
    const out = finds.codes;
    let found = 0;
    for (let n = 0; n < findColumns.length; n++) {
      const { codes: each, alone, aloneName } = findColumns[n]!;
      const into = (finds.count + found) * PARTS;
      let filled = 0;
      for (let part = 0; part < PARTS; part++) {
        const column = each[part]!;
        const code = column === null ? 0 : column[row]!;
        out[into + part] = code;
        filled |= code;
      }
      if (alone >= 0) {
        const start = starts[base + alone]!, end = ends[base + alone]!;
        if (start < end) {
          const cell = readPasses(start, end, aloneName, scale, -1, -1);
          if (cell < 0) return -1;
          out[into + ALONE] = cell;
          filled |= cell;
        }
      }
      if (filled !== 0) found++;
    }
    return found;
  };

  /** Reads the readings of the check piece at both ends of the outing. */
  const readChecks = (row: number, base: number, machine: number): boolean => {
    for (let i = 3; i < 5; i++) {
      const { column, heading, cells } = sides[i]!;
      if (cells === null) continue;
      const start = starts[base + column]!, end = ends[base + column]!;
      if (start === end) continue;
      const cell = readPasses(start, end, heading, machines.list[machine]!.machine.scale, -1, -1);
      if (cell < 0) return false;
      cells[row] = cell;
    }
    return true;
  };

  const readNotes = (row: number, start: number, end: number): boolean => {
    if (end - start > LONGEST_TEXT_BYTES || !isPlain(body[start]!, body[end - 1]!)) {
      const cell = table.text(start, end);
      const value = (restore ? restoreCell(cell) : cell).trim();
      if (value.length > LONGEST_TEXT_BYTES) return false;
      noteTexts.set(row, value === "" ? null : value);
    }
    noteStarts[row] = start;
    noteEnds[row] = end;
    return true;
  };

  /** What "dug" is taken for, with the remarks that go with it. */
  const settleDug = (row: number, found: number): number => {
    const dug = codes.dug[row]!;
    let settled = dug;
    if (dug === 0) {
      const something = found > 0 || resultCodes[row] !== 0 || statedCodes[row] !== 0;
      settled = something ? YES : stoppedCodes[row] !== 0 ? STOPPED : NO;
      if (settled !== STOPPED) remarks.add(something ? FOUND_SO_DUG : NOT_DUG);
    } else if (dug === NO && (found > 0 || resultCodes[row] !== 0)) remarks.add(UNDUG_FIND);
    if (resultCodes[row] === NOTHING_FOUND && found > 0) remarks.add(EMPTY_FIND);
    return settled;
  };

  return (row, base) => {
    const idStart = starts[base + idColumn]!, idEnd = ends[base + idColumn]!;
    if (
      idStart === idEnd || idEnd - idStart > LONGEST_ID_BYTES || !isPlain(body[idStart]!, body[idEnd - 1]!)
    ) return false;
    const slot = ids.freeSlot(idStart, idEnd);
    if (slot < 0) return false;
    const machine = machines.find(row);
    if (machine === AT_FAULT || siteCodes[row] === 0) return false;
    remarks.clear();
    for (const note of machines.notes[machine]!) remarks.add(note);
    const mark = passes.mark;
    if (!readSides(row, base, machine)) {
      passes.forget(mark);
      return false;
    }
    const found = readFinds(row, base, machine);
    if (found < 0) {
      passes.forget(mark);
      return false;
    }
    const dug = settleDug(row, found);
    const noteStart = notesColumn < 0 ? 0 : starts[base + notesColumn]!;
    const noteEnd = notesColumn < 0 ? 0 : ends[base + notesColumn]!;
    if (
      !readChecks(row, base, machine) || (noteStart < noteEnd && !readNotes(row, noteStart, noteEnd))
    ) {
      passes.forget(mark);
      return false;
    }
    ids.addAt(slot, idStart, idEnd);
    idStarts[row] = idStart;
    idEnds[row] = idEnd;
    of[row] = machine;
    codes.dug[row] = dug;
    findStarts[row] = finds.count;
    findCounts[row] = found;
    finds.count += found;
    remarks.settle(row);
    return true;
  };
}
