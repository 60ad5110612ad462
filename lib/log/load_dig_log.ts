import { type Applied, applySchema, type RowSchema } from "./apply_schema.ts";
import { countOutcomes } from "./count_outcomes.ts";
import { digLogTables } from "./_dig_log_tables.ts";
import { expandLogFile } from "./expand_log_file.ts";
import { loadFromBytes } from "./fast_dig_log.ts";
import { encodeTable } from "./fast_encode.ts";
import { ByteTable } from "./fast_table.ts";
import { FIELDS } from "./fields.ts";
import { findSuspicious } from "./find_suspicious.ts";
import { findsOfHoles } from "./_finds_of_holes.ts";
import { joinRows } from "./_join_rows.ts";
import { outingSchema } from "./_outing_row.ts";
import { machineFinder, refuseNoMachine, refuseUnknownMachines } from "./_machine_of_row.ts";
import type { MachinesFile } from "./machines.ts";
import type { ColumnMapping } from "./mapping.ts";
import type { LogFile, ReadTableOptions } from "./read_table.ts";
import type { ReadReadingsOptions } from "./read_readings.ts";
import type { LoadReport, RepeatNoise } from "./report.ts";
import type { Outing, Season } from "./rows.ts";
import { draftSignal, numberedFindFields, type SignalDraft } from "./_signal_row.ts";
import { asFieldName } from "./table.ts";

export interface LoadDigLogOptions extends ReadTableOptions {
  /** A rejected row is a file fault. Default false. */
  readonly strict?: boolean;
  /** What "38 x 3" means in a readings cell (`readReadings`). */
  readonly spacedX?: ReadReadingsOptions["spacedX"];
  /** The repeat noise of each machine. Default: measured from the log itself (`measureRepeatNoise`). */
  readonly repeatNoise?: readonly RepeatNoise[];
  /** Which field a heading means, by heading as written. Default: its own name. */
  readonly mapping?: ReadonlyMap<string, string>;
  /** What the columns of a foreign log mean (`mapTable`), for the table that the mapping names. */
  readonly columns?: ColumnMapping;
  /** Cells were written by `csvText`. Default: only in a file of rejected rows. */
  readonly guarded?: boolean;
}

/** A dig log, loaded. */
export interface DigLog {
  readonly season: Season;
  readonly report: LoadReport;
  /** Sites that a row marks as private: nothing from them may be published. */
  readonly privateSites: readonly string[];
}

/**
 * Loads a dig log: one flat file with a row a signal, or the files of its tables (signals, outings, finds).
 *
 * The smallest log that works has the columns signal_id, site, readings_right and readings_left, and where the machines
 * file has several machines also machine or settings. A flat row holds its outing's fields and its finds: `metal`,
 * `keep` and so on for the first, `metal_2`, `keep_2` for the next. A site with `site_private` yes in any row is
 * private as a whole. Outcomes are derived by `deriveOutcome` with the repeat limit measured from the log.
 *
 * Throws FileFault for an unreadable file, a needed column missing, an unknown machine (with an entry
 * to paste into the machines file), no row accepted, more than half rejected, or any with `strict`.
 *
 * @example
 * ```ts
 * import { loadDigLog, parseMachines } from "overiron";
 * const machines = parseMachines(JSON.stringify({
 *   schema: "overiron-machines/1",
 *   machines: [{
 *     machine: "Machine A",
 *     scale: { low: 0, high: 600, step: 1 },
 *     iron_break: 150,
 *     tones: { name: "one", kind: "bands", breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] },
 *   }],
 * }));
 * const text = "signal_id,site,readings_right,readings_left,metal,keep\n1,Top field,410 412,x 405,non-ferrous,yes\n";
 * const { season } = await loadDigLog({ name: "log.csv", bytes: new TextEncoder().encode(text) }, machines);
 * if (season.signals[0]?.outcome.class !== "non-ferrous") throw new Error("wrong");
 * ```
 */
export function loadDigLog(
  files: LogFile | readonly LogFile[],
  machines: MachinesFile,
  options: LoadDigLogOptions = {},
): Promise<DigLog> {
  return load(files, machines, options, false);
}

/** `loadDigLog` row by row alone, which takes longer and gives the same. */
export function loadDigLogStrictly(
  files: LogFile | readonly LogFile[],
  machines: MachinesFile,
  options: LoadDigLogOptions = {},
): Promise<DigLog> {
  return load(files, machines, options, true);
}

async function load(
  files: LogFile | readonly LogFile[],
  machines: MachinesFile,
  options: LoadDigLogOptions,
  strictly: boolean,
): Promise<DigLog> {
  const {
    strict = false,
    spacedX,
    repeatNoise,
    mapping = new Map<string, string>(),
    columns,
    guarded,
    ...readOptions
  } = options;
  const given: readonly LogFile[] = Array.isArray(files) ? files : [files as LogFile];
  if (given.length === 0) throw new RangeError("Cannot load a dig log: need a file, got none");
  const inside = (await Promise.all(given.map((file) => expandLogFile(file, readOptions)))).flat();
  // An archive may hold the garden log as well.
  const digs = inside.length > given.length ? inside.filter(({ role }) => role !== "trials") : inside;
  const list = digs.length > 0 ? digs : inside;
  const readings: ReadReadingsOptions = spacedX === undefined ? {} : { spacedX };
  const apply = {
    mapping,
    strict,
    ...(guarded === undefined ? {} : { guarded }),
    ...(readOptions.decimal === undefined ? {} : { decimal: readOptions.decimal }),
  };

  const { all: tables, signals: signalTable, conversions } = await digLogTables(list, {
    read: readOptions,
    columns,
    guarded,
  });
  const machineOf = machineFinder(machines);
  const outingTable = tables.get("outings");
  const outings = new Map<string, Outing>();

  const names = signalTable.headings.map((heading) => mapping.get(heading) ?? asFieldName(heading));
  const numbered = numberedFindFields(names);
  const firsts = new Map(mapping);
  for (const heading of signalTable.headings) {
    const name = asFieldName(heading).replace(/_1$/, "");
    if (!mapping.has(heading) && /_1$/.test(asFieldName(heading)) && !names.includes(name)) {
      firsts.set(heading, name);
    }
  }
  for (const [heading, name] of firsts) {
    if (!mapping.has(heading) && !numbered.fields.some((field) => field.name === name)) {
      firsts.delete(heading);
    }
  }
  const signalNames = new Set(FIELDS.signal.map((field) => field.name));
  const signalSchema: RowSchema<SignalDraft> = {
    role: "dig-log",
    fields: [
      ...FIELDS.signal,
      ...FIELDS.outing.filter((field) => !signalNames.has(field.name)),
      ...numbered.fields,
    ],
    needed: [
      "signal_id",
      "readings_right",
      "readings_left",
      ...(outingTable === undefined ? ["site"] : ["outing_id"]),
    ],
    id: "signal_id",
    finish(row) {
      const outingId = row.text("outing_id");
      const outing = outingTable === undefined || outingId === null ? null : outings.get(outingId) ?? null;
      if (outingTable !== undefined && outing === null) {
        row.fault("outing_id", "must be an outing that was accepted");
        return null;
      }
      const own = { settings: row.text("settings"), machine: row.text("machine") };
      const named = own.settings !== null || own.machine !== null || outing === null;
      const of = machineOf(row, named ? own.settings : outing.settings, named ? own.machine : outing.machine);
      return of === null ? null : draftSignal(row, of, outing, numbered.numbers, readings);
    },
  };
  if (tables.size === 1 && !strictly) {
    const inBytes = signalTable instanceof ByteTable ? signalTable : encodeTable(signalTable);
    const loaded = loadFromBytes(inBytes, signalSchema, {
      ...apply,
      columns,
      conversions,
      firsts,
      machines,
      machineOf,
      numbers: numbered.numbers,
      readings,
      saysDug: names.includes("dug"),
      repeatNoise: repeatNoise ?? null,
    });
    if (loaded !== null) return loaded;
  }

  for (const table of tables.values()) refuseUnknownMachines(table, machines, mapping);
  const done: Applied<unknown>[] = [];

  if (outingTable !== undefined) {
    refuseNoMachine(outingTable, machines, mapping);
    const applied = applySchema(outingTable, outingSchema(machineOf, readings), apply);
    for (const outing of applied.rows) outings.set(outing.outing_id, outing);
    done.push(applied);
  } else refuseNoMachine(signalTable, machines, mapping);

  const applied = applySchema(signalTable, signalSchema, { ...apply, mapping: firsts });
  done.push(applied);

  const { findsOf, found } = findsOfHoles(applied.rows, {
    table: tables.get("finds"),
    machines,
    readings,
    apply,
  });
  if (found !== null) done.push(found);

  const joined = joinRows(applied, {
    signalTable,
    outingTable,
    outings,
    findsOf,
    machines,
    mapping,
    saysDug: names.includes("dug"),
    repeatNoise,
    columns,
  });
  const { signals } = joined;
  let odd: LoadReport["flags"] | null = null;
  return {
    season: { machines: machines.machines, settings: machines.settings, signals, outings: joined.outings },
    report: {
      spacedX: spacedX ?? null,
      accounts: done.map((each) => each.account),
      rejected: done.flatMap((each) => each.rejected),
      assumptions: [...conversions, ...done.flatMap((each) => each.assumptions), ...joined.assumptions],
      // Looking for what is odd takes a while in a large log, and many callers never ask.
      get flags() {
        odd ??= findSuspicious(signals, {
          place: (index) => ({
            file: signalTable.file,
            line: signalTable.place(applied.records[index]! - 1, 0).line,
          }),
          outings: joined.outings,
        });
        return [...done.flatMap((each) => each.flags), ...joined.flags, ...odd];
      },
      ignored: done.flatMap((each) => each.ignored),
      repeatNoise: joined.repeatNoise,
      outcomes: countOutcomes(signals),
    },
    privateSites: joined.privateSites,
  };
}
