import { type ApplySchemaOptions, beginSchema, type RowInHand, type RowSchema } from "./apply_schema.ts";
import { signalColumns } from "./fast_columns.ts";
import { cutRows, type Cuts, readWords } from "./fast_cuts.ts";
import { IdTable } from "./fast_ids.ts";
import { RowMachines } from "./fast_machines.ts";
import { passesReader } from "./fast_read_passes.ts";
import { rowReader } from "./fast_read_row.ts";
import { RowRemarks } from "./fast_remarks.ts";
import { rowStore } from "./fast_row_store.ts";
import { CODED, FIND_PARTS, PASSES, type SignalTable } from "./fast_signal_table.ts";
import { rowStepper } from "./fast_step_row.ts";
import type { CutTable } from "./fast_table.ts";
import type { MachineOfRow } from "./_machine_of_row.ts";
import type { MachinesFile } from "./machines.ts";
import type { ReadReadingsOptions } from "./read_readings.ts";
import { FIND_FIELDS, type SignalDraft } from "./_signal_row.ts";

const BLOCK_ROWS = 512;

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

/**
 * Reads the signals of a table into columns: what `applySchema` accepts, rejects, assumes and flags, to the letter.
 *
 * A row in which every cell is as it should be is read from its bytes. Any other row is read by the steps of
 * `applySchema` instead. Gives null where a row names an unknown machine.
 *
 * Throws as `applySchema` does.
 */
export function readSignals(
  table: CutTable,
  schema: RowSchema<SignalDraft>,
  options: ReadSignalsOptions,
): SignalTable | null {
  const { machines: known, machineOf, numbers, readings, ...apply } = options;
  const { body, rowCount } = table;
  const names = [
    ...known.machines.map(({ machine }) => machine),
    ...known.settings.map((each) => each.settings),
  ];
  // Such a name would not be told from a guarded cell.
  if (names.some((name) => name.startsWith("'"))) return null;
  if (FIND_PARTS.length !== FIND_FIELDS.length) return null;
  const ids = new IdTable(body);
  const steps = beginSchema(table, schema, { ...apply, ids });
  const { columnOf } = steps;
  // A mapping has restored its cells and put in the decimal points already.
  const isMapped = table.source !== undefined;
  const restore = steps.restore && !isMapped;
  const columns = signalColumns(table, {
    fields: schema.fields,
    columnOf,
    restore,
    byComma: apply.decimal === "comma" && !isMapped,
    numbers,
  });
  const { wordsOf, wordColumns, codes, machineCodes, columnNamed } = columns;
  const remarks = new RowRemarks((kind, row, name, text) => steps.remark(kind, row, name, text));
  const machines = new RowMachines({
    words: [wordsOf("settings"), wordsOf("machine"), wordsOf("discrimination")],
    codes: machineCodes,
    has: (name) => columnNamed.has(name),
    machineOf,
    remarks,
  });
  const store = rowStore(table, { columns, ids, machines, remarks, restore });
  const width = table.headings.length;
  const cuts: Cuts = {
    starts: new Int32Array(BLOCK_ROWS * width),
    ends: new Int32Array(BLOCK_ROWS * width),
    width,
  };
  const readPasses = passesReader(table, { passes: columns.passes, remarks, restore, readings });
  const readRow = rowReader(store, cuts, readPasses);
  const marked: number[] = [];
  const stepRow = rowStepper(store, { steps, machines: known, marked });
  const privateCodes = codes.site_private;
  const PRIVATE_NO = wordsOf("site_private").codeOfValue("no");
  /** By row of a block: 1 where the steps of the schema have to read it. */
  const odd = new Uint8Array(BLOCK_ROWS);
  const rows = new Uint32Array(rowCount);
  let count = 0;
  for (let begin = 0; begin < rowCount; begin += BLOCK_ROWS) {
    const end = Math.min(rowCount, begin + BLOCK_ROWS);
    cutRows(table, cuts, odd, begin, end);
    for (const { column, words, codes } of wordColumns) {
      readWords(cuts, odd, column, begin, end, words, codes);
    }
    for (let row = begin; row < end; row++) {
      if (odd[row - begin] === 0 && readRow(row, (row - begin) * width)) {
        if (privateCodes !== null && privateCodes[row] !== 0 && privateCodes[row] !== PRIVATE_NO) {
          marked.push(row);
        }
        rows[count++] = row;
        continue;
      }
      const stepped = stepRow(row);
      if (stepped < 0) return null;
      if (stepped > 0) rows[count++] = row;
    }
  }

  const { idStarts, idEnds, idTexts, noteStarts, noteEnds, noteTexts, of, finds } = store;
  const byName = <Name extends string, Value>(
    list: readonly Name[],
    make: (name: Name, i: number) => Value,
  ) => Object.fromEntries(list.map((name, i) => [name, make(name, i)])) as Record<Name, Value>;
  return {
    ...steps.finish(count),
    table,
    rows,
    count,
    hasId: (id) => ids.has(id),
    signalId: (row) => idTexts.get(row) ?? table.text(idStarts[row]!, idEnds[row]!),
    notes(row) {
      const written = noteTexts.get(row);
      if (written !== undefined) return written;
      return noteStarts[row] === noteEnds[row] ? null : table.text(noteStarts[row]!, noteEnds[row]!);
    },
    words: byName(CODED, wordsOf),
    codes,
    passes: columns.passes,
    cells: byName(PASSES, (_, i) => columns.sides[i]!.cells),
    of,
    machinesOf: machines.list,
    findStarts: store.findStarts,
    findCounts: store.findCounts,
    finds: finds.codes,
    findWords: byName(FIND_PARTS, wordsOf),
    marked,
  };
}
