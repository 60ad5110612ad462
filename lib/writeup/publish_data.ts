import {
  csvText,
  type DigLog,
  FIELDS,
  type GardenLog,
  type MachinesFile,
  OUTCOME_FIELDS,
  type Outing,
  type Signal,
  type Trial,
  WORDS,
} from "../log/mod.ts";
import { CELLS_SCHEMA, coarseCells } from "./_coarse_cells.ts";
import { DataPackage } from "./_data_package.ts";
import { type Cell, columnsOf, knownWord, month, toneWord, writtenOf } from "./_published_columns.ts";
import { logSecrets } from "./_log_secrets.ts";
import { publishedListing } from "./_published_listing.ts";
import { publishedNames } from "./_published_names.ts";
import { publishedReport, withoutPrivate } from "./_published_report.ts";
import type { KeyEntry } from "./_renamer.ts";
import { ShownNames } from "./_shown_names.ts";

export { LEAST_CELL_KM } from "./_coarse_cells.ts";
export type { KeyEntry };

export interface PublishDataOptions {
  /** The order in which sites get their letters and observers their numbers is drawn from it. */
  readonly seed: number;
  /** The licence of the data. Default: CC BY 4.0. */
  readonly licence?: { readonly name: string; readonly title: string; readonly path: string };
  /** The package's title. Default: "Data of a detecting season". */
  readonly title?: string;
  /** Where the data come from. Default: the person's own logs. */
  readonly sources?: readonly { readonly title: string; readonly path?: string }[];
  /** The day of publishing, YYYY-MM-DD. Default: none, for no clock enters. */
  readonly date?: string;
  /**
   * Width in kilometres, 10 or more, of cells in which sites are shown to lie, in a table of its own; cells with fewer than
   * three sites are held back. Default: no cell, nothing of where a site lies.
   */
  readonly coarseCellsKm?: number;
}

/** The files of a data folder, and what belongs beside it. */
export interface PublishedData {
  /** By name, in the order of names. */
  readonly files: readonly { readonly name: string; readonly text: string }[];
  /** Which site is which letter, and so on. It undoes the privacy: keep it out of the write-up. */
  readonly key: readonly KeyEntry[];
  /** What is published and what is held back, a sentence each, to show before it is done. */
  readonly listing: readonly string[];
  /** Names of machines, settings, tones and test objects as they are shown, by kind. */
  readonly names: readonly { readonly kind: string; readonly names: readonly string[] }[];
  /** How many of these are held back for what is in them, and have a number instead. */
  readonly namesHeldBack: number;
}

/**
 * Makes the data folder of a write-up out of loaded logs: CSV tables, machines, load report and a descriptor by the
 * Data Package standard 2.0, with nothing private in it.
 *
 * Sites become letters in an order drawn from the seed, days months, ids and observers numbers; notes, find text,
 * coordinates, times and whether a find was reported are left out; free words in fields with a list become "other".
 * A name of a machine, of settings, tones or a test object is shown as it was written, unless it has a place, a person or a
 * day of the log in it, or coordinates. Everything from a private site is left out, and so is every signal whose find is kept and not yet reported; outcomes are
 * derived anew from what is left. Readings stay as they
 * were written. Cells that a spreadsheet would run are guarded (`guardCell`). The same logs and seed give the same bytes.
 *
 * Throws RangeError without a log, when every site is private, and for cells narrower than 10 km.
 *
 * @example
 * ```ts
 * import { loadDigLog, parseMachines } from "overiron";
 * import { publishData } from "./publish_data.ts";
 * const machines = parseMachines(JSON.stringify({
 *   schema: "overiron-machines/1",
 *   machines: [{
 *     machine: "Machine A",
 *     scale: { low: 0, high: 600, step: 1 },
 *     iron_break: 150,
 *     tones: { name: "one", kind: "bands", breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] },
 *   }],
 * }));
 * const text = "signal_id,site,readings_right,readings_left,notes\n7,Top field,410,x 405,by the old oak\n";
 * const digLog = await loadDigLog({ name: "log.csv", bytes: new TextEncoder().encode(text) }, machines);
 * const { files } = publishData({ digLog, machines }, { seed: 1 });
 * if (files.some((file) => /Top field|oak/.test(file.text))) throw new Error("a secret is out");
 * ```
 */
export function publishData(
  logs: {
    readonly digLog?: DigLog | null;
    readonly gardenLog?: GardenLog | null;
    readonly machines: MachinesFile;
  },
  options: PublishDataOptions,
): PublishedData {
  const { digLog: before = null, gardenLog: garden = null, machines } = logs;
  const {
    seed,
    licence = {
      name: "CC-BY-4.0",
      title: "Creative Commons Attribution 4.0",
      path: "https://creativecommons.org/licenses/by/4.0/",
    },
    title = "Data of a detecting season",
    sources = [{ title: "The field logs of the person who made this write-up" }],
    date,
    coarseCellsKm,
  } = options;
  if (before === null && garden === null) {
    throw new RangeError("Cannot publish data: need a dig log or a garden log, got neither");
  }
  const { log: digLog = null, privateSignals = 0, unreported = 0 } = before === null
    ? {}
    : withoutPrivate(before);
  const signals = digLog?.season.signals ?? [];
  const outings = digLog?.season.outings ?? [];
  const trials = garden?.garden.trials ?? [];
  const finds = [...new Set(signals.flatMap((signal) => signal.finds))];

  const { names, findNames } = publishedNames({ signals, outings, trials, finds }, seed);

  const shown = new ShownNames(logSecrets(before, garden));
  const tonesOf = new Map(machines.machines.map((machine) => [machine.machine, machine.tones]));
  const used = new Set([...signals, ...outings, ...trials].map((row) => row.machine));
  const usedSettings = new Set([...signals, ...outings, ...trials].map((row) => row.settings));
  const without = <Row extends { notes?: string | undefined }>(
    { notes: _, ...row }: Row,
  ): Omit<Row, "notes"> => row;
  const machinesFile = {
    schema: machines.schema,
    machines: machines.machines.filter((machine) => used.has(machine.machine)).map(without).map(
      shown.machine,
    ),
    settings: machines.settings.filter((set) => usedSettings.has(set.settings)).map(without).map(shown.set),
  };

  type OutingFacts = Pick<Outing, "outing_id" | "site" | "observer" | "date" | "ground" | "moisture">;
  const outingCells: Readonly<Record<string, (row: OutingFacts) => Cell>> = {
    outing_id: (row) => names.of("outing", row.outing_id),
    site: (row) => names.of("site", row.site),
    observer: (row) => names.of("observer", row.observer),
    date: (row) => month(row.date),
    ground: (row) => knownWord(WORDS.ground, row.ground),
    moisture: (row) => knownWord(WORDS.moisture, row.moisture),
  };
  const machineCells: Readonly<Record<string, (row: Pick<Outing, "machine" | "settings">) => Cell>> = {
    machine: (row) => shown.of("machine", row.machine),
    settings: (row) => shown.of("settings", row.settings),
  };
  const shared = [
    "site",
    "date",
    "observer",
    "settings",
    "machine",
    "discrimination",
    "ground",
    "moisture",
    "coil_height_cm",
  ];
  const signalFields = [
    ...FIELDS.signal,
    ...FIELDS.outing.filter((field) => shared.includes(field.name)),
    ...OUTCOME_FIELDS,
  ];
  const signalColumns = columnsOf<Signal>(signalFields, {
    ...outingCells,
    ...machineCells,
    signal_id: (row) => names.of("signal", row.signal_id),
    hole_id: (row) => names.of("hole", row.hole_id),
    rule_version: (row) => names.of("rule version", row.rule_version),
    tone_heard: (row) => toneWord(row.tone_heard, tonesOf.get(row.machine), shown.band),
    stopped_why: (row) => knownWord(WORDS.stopped_why, row.stopped_why),
    outcome_status: (row) => row.outcome.status,
    outcome_class: (row) => row.outcome.class,
    outcome_grade: (row) => row.outcome.grade,
  });
  const findColumns = columnsOf<Signal["finds"][number]>(FIELDS.find, {
    find_id: (row) => findNames.get(row)!,
    hole_id: (row) => names.of("hole", row.hole_id),
    readings_alone: (row) => writtenOf(row.readings_alone),
  });
  const outingColumns = columnsOf<Outing>(FIELDS.outing.filter((field) => field.name !== "discrimination"), {
    ...outingCells,
    ...machineCells,
    check_start: (row) => writtenOf(row.check_start),
    check_end: (row) => writtenOf(row.check_end),
  });
  const trialColumns = columnsOf<Trial>(FIELDS.trial, {
    ...machineCells,
    target: (row) => shown.object(row.target),
    neighbour: (row) => shown.object(row.neighbour),
    neighbour_kind: (row) => shown.object(row.neighbour_kind),
    trial_id: (row) => names.of("trial", row.trial_id),
    block: (row) => names.of("block", row.block),
    spot: (row) => names.of("spot", row.spot),
    tried_at: (row) => month(row.date),
    tone_heard: (row) => toneWord(row.tone_heard, tonesOf.get(row.machine), shown.band),
    clean_readings: (row) => writtenOf(row.clean),
    neighbour_readings: (row) => writtenOf(row.neighbourAlone),
  });

  const data = new DataPackage();
  if (digLog !== null) {
    data.addTable("signals.csv", {
      columns: signalColumns,
      rows: signals,
      description: "A row a signal, with its outing and the outcome derived from its facts",
      keys: { primaryKey: "signal_id" },
    });
    data.addTable("finds.csv", {
      columns: findColumns,
      rows: finds,
      description: "A row an object out of a hole",
      keys: {
        primaryKey: "find_id",
        foreignKeys: [{ field: "hole_id", resource: "signals", reference: "hole_id" }],
      },
    });
    data.addTable("outings.csv", {
      columns: outingColumns,
      rows: outings,
      description: "A row an outing, with the readings of its check piece",
      keys: { primaryKey: "outing_id" },
    });
  }
  const cells = digLog === null || coarseCellsKm === undefined
    ? null
    : coarseCells(signals, { km: coarseCellsKm, nameOf: (site) => names.of("site", site)! });
  if (cells !== null) {
    data.add("cells.csv", cells.text, `The cell of ${coarseCellsKm} km or more in which a site lies`, {
      type: "table",
      format: "csv",
      mediatype: "text/csv",
      schema: CELLS_SCHEMA,
    });
  }
  if (garden !== null) {
    data.addTable("trials.csv", {
      columns: trialColumns,
      rows: trials,
      description: "A row a trial of the test garden",
      keys: { primaryKey: "trial_id" },
    });
  }
  data.addJson(
    "machines.json",
    machinesFile,
    "The machines with their scales and tone schemes, and the settings sets",
  );
  const report = publishedReport(before, digLog, garden);
  data.addJson(
    "load-report.json",
    {
      ...report,
      repeatNoise: report.repeatNoise.map((each) => ({
        ...each,
        machine: shown.of("machine", each.machine),
      })),
    },
    "What was accepted, rejected and taken for granted when the logs were read",
  );

  const namesShown = shown.list(machinesFile, trials);
  return {
    files: data.files({ title, licence, sources, date }),
    key: [
      ...names.key,
      ...shown.key,
      ...finds.map((find) => ({ kind: "find", was: find.find_id, now: findNames.get(find)! })),
    ],
    listing: publishedListing({
      dig: digLog === null ? null : { signals, finds, outings, signalColumns, findColumns, outingColumns },
      garden: garden === null ? null : { trials, trialColumns },
      names: namesShown,
      namesHeldBack: shown.key.length,
      cells,
      coarseCellsKm,
      privateSignals,
      unreported,
    }),
    names: namesShown,
    namesHeldBack: shown.key.length,
  };
}

/** The key as a CSV file, for the private folder beside a write-up. */
export const keyCsv = (key: readonly KeyEntry[]): string =>
  csvText([["kind", "was", "now"], ...key.map((entry) => [entry.kind, entry.was, entry.now])]);
