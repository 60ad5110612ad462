import type { PassesTable } from "./fast_readings.ts";
import type { RowRemarks } from "./fast_remarks.ts";
import type { CutTable } from "./fast_table.ts";
import { AT_FAULT } from "./fast_words.ts";
import type { Machine } from "./machines.ts";
import { READINGS_NOTES, readReadings, type ReadReadingsOptions } from "./read_readings.ts";

const LONGEST_READINGS = 2000;
const APOSTROPHE = 39;

export interface PassesReaderOptions {
  readonly passes: PassesTable;
  readonly remarks: RowRemarks;
  /** Whether guarded cells are restored. */
  readonly restore: boolean;
  readonly readings: ReadReadingsOptions;
}

/** Reads a readings cell with its counts (-1 for none). Gives its number, 0 for nothing logged, or `AT_FAULT`. */
export type PassesReader = (
  start: number,
  end: number,
  heading: string,
  scale: Machine["scale"],
  silent: number,
  total: number,
) => number;

/** Makes the reader of a table's readings cells: plain ones from their bytes, all others by `readReadings`. */
export function passesReader(table: CutTable, options: PassesReaderOptions): PassesReader {
  const { passes, remarks, restore, readings } = options;
  const { body } = table;
  const offSteps = new Map<string, number>(),
    fewers = new Map<string, number>(),
    usuals = new Map<string, number>();
  const remark = (
    all: Map<string, number>,
    kind: "assume" | "flag",
    heading: string,
    note: string,
  ): void => {
    let number = all.get(heading);
    if (number === undefined) all.set(heading, number = remarks.number(kind, heading, note));
    remarks.add(number);
  };
  return (start, end, heading, scale, silent, total) => {
    if (start === end && silent <= 0 && total <= 0) return 0;
    if (start < end && passes.read(start, end, scale)) {
      const written = passes.lastReadings + (silent < 0 ? passes.lastSilent : silent);
      if (silent >= 0 && passes.lastSilent > 0 && silent !== passes.lastSilent) return AT_FAULT;
      if (total >= 0 && total < written) return AT_FAULT;
      if (passes.lastOffStep) remark(offSteps, "flag", heading, READINGS_NOTES.offStep);
      if (total > written) {
        if (passes.lastReadings === 1) remark(usuals, "assume", heading, READINGS_NOTES.usual);
        else if (silent < 0) return AT_FAULT;
        remark(fewers, "flag", heading, READINGS_NOTES.fewer);
      }
      return passes.take(
        start,
        end,
        silent < 0 ? passes.lastSilent : silent,
        total < 0 ? written : total,
      );
    }
    if (restore && body[start] === APOSTROPHE) return AT_FAULT;
    const cell = table.text(start, end).trim();
    if (cell.length > LONGEST_READINGS) return AT_FAULT;
    if (cell === "" && silent < 0 && total < 0) return 0;
    const read = readReadings(cell, {
      ...readings,
      scale,
      silent: silent < 0 ? null : silent,
      passes: total < 0 ? null : total,
    });
    if ("fault" in read) return AT_FAULT;
    for (const note of read.assumptions) remarks.add(remarks.number("assume", heading, note));
    for (const note of read.flags) remarks.add(remarks.number("flag", heading, note));
    return passes.put(read.passes);
  };
}
