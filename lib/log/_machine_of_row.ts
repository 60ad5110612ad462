import type { RowInHand } from "./apply_schema.ts";
import { FileFault } from "./file_fault.ts";
import type { Machine, MachinesFile, SettingsSet } from "./machines.ts";
import { nearestWord } from "./nearest_word.ts";
import type { Discrimination, Passes } from "./rows.ts";
import { readReadings, type ReadReadingsOptions } from "./read_readings.ts";
import { asFieldName, type Table } from "./table.ts";
import { restoreCell } from "./csv_text.ts";

const tidy = (name: string): string => name.trim().replace(/\s+/g, " ");

function columnIn(table: Table, field: string, mapping: ReadonlyMap<string, string>): number {
  return table.headings.findIndex((heading) => (mapping.get(heading) ?? asFieldName(heading)) === field);
}

/** The lowest and highest number in the readings cells of rows that name the machine. */
function readingsSeen(table: Table, column: number, name: string): { low: number; high: number } {
  let low = Infinity, high = -Infinity;
  const columns = table.headings.flatMap((heading, i) =>
    /^(?:readings_|clean_readings|neighbour_readings)/.test(asFieldName(heading)) ? [i] : []
  );
  for (let row = 0; row < table.rowCount; row++) {
    if (column >= 0 && tidy(table.cell(row, column)) !== name) continue;
    for (const i of columns) {
      for (const token of table.cell(row, i).split(/[\s,;/|]+/)) {
        if (!/^-?\d{1,9}(?:\.\d{1,6})?$/.test(token)) continue;
        low = Math.min(low, Number(token));
        high = Math.max(high, Number(token));
      }
    }
  }
  if (low === Infinity) return { low: 0, high: 100 };
  low = Math.min(0, Math.floor(low));
  high = Math.ceil(high);
  return { low, high: high > low ? high : low + 1 };
}

const machineEntry = (machine: string, { low, high }: { low: number; high: number }): Machine => ({
  machine,
  scale: { low, high, step: 1 },
  iron_break: low,
  tones: {
    name: "one tone",
    kind: "bands",
    breaks: [],
    bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }],
  },
});

/** Throws FileFault with a whole machines file to save, made of what the log names. */
function refuseWithoutMachines(table: Table, mapping: ReadonlyMap<string, string>): never {
  const named = (field: string): string[] => {
    const column = columnIn(table, field, mapping);
    if (column < 0) return [];
    const rows = Array.from({ length: table.rowCount }, (_, row) => row)
      .filter((row) => table.width(row) === table.headings.length);
    return [...new Set(rows.map((row) => tidy(restoreCell(table.cell(row, column)))))]
      .filter((name) => name !== "").slice(0, 5);
  };
  const column = columnIn(table, "machine", mapping);
  const names = named("machine").length > 0 ? named("machine") : ["My machine"];
  const file = {
    schema: "overiron-machines/1",
    machines: names.map((name) => machineEntry(name, readingsSeen(table, column, name))),
    settings: named("settings").map((settings) => ({
      settings,
      machine: names[0]!,
      coil: null,
      discrimination: "not-stated",
    })),
  };
  throw new FileFault(
    `Cannot use ${table.file}: a machines file must say what each machine's numbers mean, got none. Save this as machines.json beside ` +
      `the log, set its numbers right (the scale here is what the log shows), and run again:\n${
        JSON.stringify(file, null, 2)
      }`,
    { file: table.file },
  );
}

/** Throws FileFault when a row names a machine or settings set that the machines file lacks, with an entry to paste. */
export function refuseUnknownMachines(
  table: Table,
  machines: MachinesFile,
  mapping: ReadonlyMap<string, string> = new Map(),
): void {
  if (machines.machines.length === 0) refuseWithoutMachines(table, mapping);
  for (const [field, list] of [["settings", machines.settings], ["machine", machines.machines]] as const) {
    const column = columnIn(table, field, mapping);
    if (column < 0) continue;
    const known = new Set(
      list.map((each) => ("settings" in each ? each.settings : each.machine).toLowerCase()),
    );
    const unknown = new Map<string, number>();
    for (let row = 0; row < table.rowCount; row++) {
      if (table.width(row) !== table.headings.length) continue;
      const name = tidy(restoreCell(table.cell(row, column)));
      if (name !== "" && !known.has(name.toLowerCase()) && !unknown.has(name)) unknown.set(name, row);
    }
    const [first] = unknown;
    if (first === undefined) continue;
    const [name, row] = first;
    const names = list.map((each) => "settings" in each ? each.settings : each.machine);
    const near = nearestWord(name, names);
    const entries = [...unknown.keys()].slice(0, 5).map((each) =>
      JSON.stringify(
        field === "machine" ? machineEntry(each, readingsSeen(table, column, each)) : {
          settings: each,
          machine: machines.machines[0]!.machine,
          coil: null,
          discrimination: "not-stated",
        },
      )
    );
    const what = field === "machine" ? "machine" : "settings set";
    const { line } = table.place(row, column);
    throw new FileFault(
      `Cannot use ${table.file}: each ${what} must be in the machines file, got ${
        JSON.stringify(name)
      } on line ${line}${
        near === null ? "" : `; nearest is ${JSON.stringify(near)}`
      }. If it is another ${what}, paste this into "${
        field === "machine" ? "machines" : "settings"
      }" of the machines file and set its numbers right (${
        field === "machine" ? "the scale here is what the log shows" : "name its machine"
      }):\n${entries.join(",\n")}`,
      { file: table.file, line, column: table.headings[column]! },
    );
  }
}

/** The machine, settings set and discrimination of a row. */
export interface MachineOfRow {
  readonly machine: Machine;
  readonly settings: string | null;
  readonly discrimination: Discrimination;
}

export const ONLY_MACHINE = "The only machine of the machines file was taken, since the row names none";

/** Makes the function that finds a row's machine. It rejects the row, and gives null, where that cannot be told. */
export function machineFinder(
  machines: MachinesFile,
): (row: RowInHand, settingsName: string | null, machineName: string | null) => MachineOfRow | null {
  const byMachine = new Map<string, Machine>(
    machines.machines.map((each) => [each.machine.toLowerCase(), each]),
  );
  const bySettings = new Map<string, SettingsSet>(
    machines.settings.map((each) => [each.settings.toLowerCase(), each]),
  );
  return (row, settingsName, machineName) => {
    let settings = settingsName === null ? undefined : bySettings.get(tidy(settingsName).toLowerCase());
    let machine = machineName === null ? undefined : byMachine.get(tidy(machineName).toLowerCase());
    if (
      (settingsName !== null && settings === undefined) || (machineName !== null && machine === undefined)
    ) {
      row.fault(
        settings === undefined && settingsName !== null ? "settings" : "machine",
        "must be in the machines file",
      );
      return null;
    }
    if (settings === undefined && machine === undefined) {
      if (machines.machines.length > 1) {
        row.fault(
          row.has("machine") ? "machine" : row.has("settings") ? "settings" : null,
          "must name one of the machines of the machines file",
        );
        return null;
      }
      row.assume(null, ONLY_MACHINE);
      machine = machines.machines[0]!;
      if (machines.settings.length === 1) settings = machines.settings[0];
    }
    const own = byMachine.get((settings?.machine ?? machine!.machine).toLowerCase())!;
    if (machine !== undefined && machine !== own) {
      row.fault("machine", "must be the machine of the settings set that the row names");
      return null;
    }
    const stated = settings?.discrimination ?? "not-stated";
    const written = row.text("discrimination") as Discrimination | null;
    if (written !== null && written !== "not-stated" && stated !== "not-stated" && written !== stated) {
      row.fault("discrimination", "must agree with the settings set that the row names");
      return null;
    }
    return {
      machine: own,
      settings: settings?.settings ?? null,
      discrimination: stated === "not-stated" ? written ?? stated : stated,
    };
  };
}

/** Throws FileFault when a log names no machine in any column and the machines file has several. */
export function refuseNoMachine(
  table: Table,
  machines: MachinesFile,
  mapping: ReadonlyMap<string, string> = new Map(),
): void {
  if (
    machines.machines.length === 1 || columnIn(table, "machine", mapping) >= 0 ||
    columnIn(table, "settings", mapping) >= 0
  ) return;
  throw new FileFault(
    `Cannot use ${table.file}: a column machine or settings is needed when the machines file has several machines, got neither (machines: ${
      machines.machines.map((each) => each.machine).join(", ")
    })`,
    { file: table.file, line: table.place(-1, 0).line, column: "machine" },
  );
}

/** Reads a readings cell of a row with the counts beside it; rejects the row where they break a rule. */
export function passesOfRow(
  row: RowInHand,
  column: string,
  options: ReadReadingsOptions & { readonly counts?: string },
): Passes | null {
  const { counts, ...rest } = options;
  const cell = row.text(column) ?? "";
  const silent = counts === undefined ? null : row.number(`silent_${counts}`);
  const passes = counts === undefined ? null : row.number(`passes_${counts}`);
  if (cell === "" && silent === null && passes === null) return null;
  const read = readReadings(cell, { ...rest, silent, passes });
  if ("fault" in read) {
    row.fault(read.at === "readings" || counts === undefined ? column : `${read.at}_${counts}`, read.fault);
    return null;
  }
  for (const text of read.assumptions) row.assume(column, text);
  for (const text of read.flags) row.flag(column, text);
  return read.passes;
}
