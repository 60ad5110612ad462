import type { SchemaSteps } from "./apply_schema.ts";
import { restoreCell } from "./csv_text.ts";
import type { RowStore } from "./fast_row_store.ts";
import { CODED, type CodedName, FIND_PARTS, PASSES, type PassesName } from "./fast_signal_table.ts";
import type { MachinesFile } from "./machines.ts";
import type { Passes } from "./rows.ts";
import type { SignalDraft } from "./_signal_row.ts";

const tidy = (name: string): string => restoreCell(name).trim().replace(/\s+/g, " ").toLowerCase();

/** Puts a signal that the steps of the schema made into the columns. */
function put(store: RowStore, row: number, draft: SignalDraft, machine: number): void {
  const { table, columns, restore, finds } = store;
  const { codes, wordsOf, passes, sides } = columns;
  const { signal, outing, outing_id } = draft;
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
    const cell = table.cell(row, columns.columnNamed.get("hole_id")!);
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
  PASSES.forEach((name, i) => {
    const { cells } = sides[i]!;
    if (cells !== null) cells[row] = passes.put(held[name]);
  });
  store.idTexts.set(row, signal.signal_id);
  store.noteTexts.set(row, signal.kept_private!.notes);
  store.of[row] = machine;
  store.findStarts[row] = finds.count;
  store.findCounts[row] = signal.finds.length;
  finds.reserve(signal.finds.length);
  for (const find of signal.finds) {
    const named = find.find_id === `${find.hole_id}-${find.order}` ? null : find.find_id;
    const into = finds.count++ * FIND_PARTS.length;
    FIND_PARTS.forEach((part, k) => {
      finds.codes[into + k] = part === "readings_alone"
        ? passes.put(find.readings_alone)
        : wordsOf(part).codeOfValue(part === "find_id" ? named : find[part]);
    });
  }
}

export interface RowStepperOptions {
  readonly steps: SchemaSteps<SignalDraft>;
  readonly machines: MachinesFile;
  /** Where rows are added in which anything but "no" stands in site_private. */
  readonly marked: number[];
}

/**
 * Makes the function that lets the steps of the schema read a row: 1 where it is accepted, 0 where it is not, -1 where it
 * names a machine that there is none of.
 */
export function rowStepper(store: RowStore, options: RowStepperOptions): (row: number) => -1 | 0 | 1 {
  const { steps, machines, marked } = options;
  const { table, columns } = store;
  const width = table.headings.length;
  const columnOf = (name: string): number => columns.columnNamed.get(name) ?? -1;
  const settingsColumn = columnOf("settings"), machineColumn = columnOf("machine");
  const privateColumn = columnOf("site_private");
  const knownMachines = new Set(machines.machines.map(({ machine }) => machine.toLowerCase()));
  const knownSettings = new Set(machines.settings.map(({ settings }) => settings.toLowerCase()));
  return (row) => {
    if (table.width(row) === width) {
      const named = machineColumn < 0 ? "" : tidy(table.cell(row, machineColumn));
      const set = settingsColumn < 0 ? "" : tidy(table.cell(row, settingsColumn));
      if ((named !== "" && !knownMachines.has(named)) || (set !== "" && !knownSettings.has(set))) return -1;
    }
    if (privateColumn >= 0) {
      const word = restoreCell(table.cell(row, privateColumn)).trim().toLowerCase();
      if (word !== "" && word !== "no") marked.push(row);
    }
    for (const { codes } of columns.wordColumns) codes[row] = 0;
    for (const { cells } of columns.sides) if (cells !== null) cells[row] = 0;
    const draft = steps.step(row);
    if (draft === null) return 0;
    const { settings, discrimination } = draft.signal;
    const machine = machines.machines.find((each) => each.machine === draft.signal.machine)!;
    put(store, row, draft, store.machines.numberOf({ machine, settings, discrimination }));
    return 1;
  };
}
