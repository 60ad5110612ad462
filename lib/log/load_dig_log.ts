import { type Applied, applySchema, Remarks, type RowSchema } from "./apply_schema.ts";
import { deriveOutcome } from "./derive_outcome.ts";
import { expandLogFile } from "./expand_log_file.ts";
import { loadFromBytes } from "./fast_dig_log.ts";
import { encodeTable } from "./fast_encode.ts";
import { ByteTable } from "./fast_table.ts";
import { FIELDS } from "./fields.ts";
import { FileFault } from "./file_fault.ts";
import { findSuspicious } from "./find_suspicious.ts";
import { JOINED } from "./_join_notes.ts";
import { outingSchema } from "./_outing_row.ts";
import { machineFinder, passesOfRow, refuseNoMachine, refuseUnknownMachines } from "./_machine_of_row.ts";
import type { MachinesFile } from "./machines.ts";
import { mapTable } from "./map_table.ts";
import type { ColumnMapping } from "./mapping.ts";
import { statedLimits } from "./_stated_limits.ts";
import { measureRepeatNoise } from "./measure_repeat_noise.ts";
import { privateSitesOf } from "./_private_sites.ts";
import { type LogFile, readTable, type ReadTableOptions } from "./read_table.ts";
import type { ReadReadingsOptions } from "./read_readings.ts";
import type { LoadReport, OutcomeCount, RepeatNoise } from "./report.ts";
import type { Find, Outing, Season, Signal } from "./rows.ts";
import { draftSignal, numberedFindFields, type SignalDraft } from "./_signal_row.ts";
import { asFieldName, type Table } from "./table.ts";

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

type Role = NonNullable<LogFile["role"]>;

/** Which table of a dig log a file holds: what it is said to be, else what its headings and its name tell. */
export function roleOf(file: LogFile, table: Table, alone: boolean): Role {
  if (file.role !== undefined) return file.role;
  const names = new Set(table.headings.map(asFieldName));
  if (alone || names.has("readings_right") || names.has("signal_id")) return "signals";
  if (names.has("find_id") || names.has("hole_id")) return "finds";
  return /find/i.test(file.name)
    ? "finds"
    : /outing/i.test(file.name) || names.has("outing_id")
    ? "outings"
    : "signals";
}

/** Counts outcomes by status, class and grade, the most frequent first. */
export function countOutcomes(signals: readonly Pick<Signal, "outcome">[]): readonly OutcomeCount[] {
  const counts = new Map<string, { -readonly [Key in keyof OutcomeCount]: OutcomeCount[Key] }>();
  for (const { outcome } of signals) {
    const key = `${outcome.status} ${outcome.class} ${outcome.grade}`;
    const known = counts.get(key);
    if (known !== undefined) known.count++;
    else counts.set(key, { ...outcome, count: 1 });
  }
  return [...counts].sort(([a, x], [b, y]) => y.count - x.count || (a < b ? -1 : 1)).map(([, count]) =>
    count
  );
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

  const tables = new Map<Role, Table>();
  const conversions: LoadReport["assumptions"][number][] = [];
  for (const file of list) {
    let table = await readTable(file, readOptions);
    const role = roleOf(file, table, list.length === 1);
    if (columns !== undefined && (columns.table ?? "signals") === role) {
      const mapped = mapTable(table, columns, guarded === undefined ? {} : { guarded });
      conversions.push(...mapped.assumptions);
      table = mapped;
    }
    if (role === "trials") throw new RangeError(`Cannot load a dig log: ${file.name} is a garden log`);
    if (tables.has(role)) {
      throw new FileFault(`Cannot use ${file.name}: a dig log has one file of ${role}, got another`, {
        file: file.name,
      });
    }
    tables.set(role, table);
  }
  const signalTable = tables.get("signals");
  if (signalTable === undefined) {
    throw new FileFault(
      `Cannot use ${list[0]!.name}: a dig log needs a file of signals, got only ${
        [...tables.keys()].join(", ")
      }`,
      {
        file: list[0]!.name,
      },
    );
  }
  if (columns !== undefined && !tables.has(columns.table ?? "signals")) {
    throw new FileFault(
      `Cannot use the mapping on ${list[0]!.name}: it is for a table of ${columns.table}, got ${
        [...tables.keys()].join(", ")
      }`,
      { file: list[0]!.name },
    );
  }
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

  const findTable = tables.get("finds");
  const findsOf = new Map<string, Find[]>();
  for (const { signal } of applied.rows) {
    for (const find of signal.finds) {
      const finds = findsOf.get(find.hole_id);
      if (finds === undefined) findsOf.set(find.hole_id, [find]);
      else {
        const order = finds.length + 1;
        const named = find.find_id !== `${find.hole_id}-${find.order}`;
        finds.push({ ...find, order, find_id: named ? find.find_id : `${find.hole_id}-${order}` });
      }
    }
  }
  if (findTable !== undefined) {
    const byHole = new Map<string, SignalDraft>();
    for (const draft of applied.rows) byHole.set(draft.signal.hole_id ?? draft.signal.signal_id, draft);
    const scaleOf = new Map(machines.machines.map((each) => [each.machine, each.scale]));
    const orders = new Map<string, number>();
    const schema: RowSchema<Find> = {
      role: "finds",
      fields: FIELDS.find,
      needed: ["hole_id"],
      id: "find_id",
      finish(row) {
        const holeId = row.text("hole_id");
        const draft = holeId === null ? undefined : byHole.get(holeId);
        if (holeId === null || draft === undefined) {
          row.fault("hole_id", "must be the hole of a signal that was accepted");
          return null;
        }
        const alone = passesOfRow(row, "readings_alone", {
          ...readings,
          scale: scaleOf.get(draft.signal.machine)!,
        });
        const order = row.number("order") ?? (orders.get(holeId) ?? findsOf.get(holeId)?.length ?? 0) + 1;
        orders.set(holeId, order);
        return {
          find_id: row.text("find_id") ?? `${holeId}-${order}`,
          hole_id: holeId,
          order,
          metal: row.text("metal") as Find["metal"],
          keep: row.text("keep") as Find["keep"],
          depth_cm: row.number("depth_cm"),
          readings_alone: alone,
          what: row.text("what"),
          reported: row.text("reported") as Find["reported"],
        };
      },
    };
    const found = applySchema(findTable, schema, apply);
    done.push(found);
    for (const find of found.rows) {
      const finds = findsOf.get(find.hole_id);
      if (finds === undefined) findsOf.set(find.hole_id, [find]);
      else finds.push(find);
    }
    for (const finds of findsOf.values()) finds.sort((a, b) => a.order - b.order);
  }

  const remarks = new Remarks();
  const assumed = new Remarks();
  const first = (index: number, value: string) => ({
    file: signalTable.file,
    line: signalTable.place(applied.records[index]! - 1, 0).line,
    value,
  });
  const privateSites = new Set<string>();
  for (const table of outingTable === undefined ? [signalTable] : [outingTable, signalTable]) {
    for (const site of privateSitesOf(table, mapping, (id) => outings.get(id)?.site ?? null)) {
      privateSites.add(site);
    }
  }

  // A signal may name another site than its outing does: what its outing hides, it hides too.
  for (const { outing_id, signal } of applied.rows) {
    const site = outing_id === null ? undefined : outings.get(outing_id)?.site;
    if (site !== undefined && privateSites.has(site)) privateSites.add(signal.site);
  }
  const usedOutings = new Map<string, Outing>();
  const idsOfKey = new Map<string, string>();
  const takenIds = new Set(applied.rows.flatMap((draft) => draft.outing_id ?? []));
  const sitesOfId = new Map<string, number>();
  const holes = new Map<string, number>();
  const saysDug = names.includes("dug");
  const joined = applied.rows.map((draft, i): Omit<Signal, "outcome"> => {
    const { signal, outing } = draft;
    const key = draft.outing_id === null
      ? JSON.stringify([signal.site, signal.date, signal.settings, signal.machine, signal.observer])
      : JSON.stringify([draft.outing_id, signal.site]);
    let outingId = idsOfKey.get(key);
    if (outingId === undefined) {
      if (draft.outing_id === null) {
        let number = idsOfKey.size + 1;
        while (takenIds.has(`outing-${number}`)) number++;
        outingId = `outing-${number}`;
        takenIds.add(outingId);
      } else {
        const sites = (sitesOfId.get(draft.outing_id) ?? 0) + 1;
        sitesOfId.set(draft.outing_id, sites);
        outingId = sites === 1 ? draft.outing_id : `${draft.outing_id}#${sites}`;
        if (sites > 1) assumed.add("dig-log", "outing_id", JOINED.sharedId, first(i, draft.outing_id));
      }
      idsOfKey.set(key, outingId);
      usedOutings.set(outingId, { outing_id: outingId, ...outing });
    }
    if (draft.outing_id === null) assumed.add("dig-log", null, JOINED.oneOuting, first(i, ""));
    const holeId = signal.hole_id ?? signal.signal_id;
    const finds = findsOf.get(holeId) ?? [];
    const dug = signal.dug === "no" && finds.length > 0 && !saysDug ? "yes" : signal.dug;
    if (dug !== "no") {
      const sharing = (holes.get(holeId) ?? 0) + 1;
      holes.set(holeId, sharing);
      if (sharing === 2) remarks.add("dig-log", "hole_id", JOINED.sharedHole, first(i, holeId));
    }
    return {
      ...signal,
      outing_id: outingId,
      dug,
      hole_id: dug === "no" && finds.length === 0 ? signal.hole_id ?? null : holeId,
      finds,
      kept_private: { ...signal.kept_private!, site_private: privateSites.has(signal.site) },
    };
  });
  const outingList = [...outings.values()].filter((outing) => !usedOutings.has(outing.outing_id)).concat([
    ...usedOutings.values(),
  ]);
  const noise = statedLimits(
    repeatNoise ?? measureRepeatNoise({ machines: machines.machines, signals: joined, outings: outingList }),
    columns,
  );
  const limitOf = new Map(noise.map((each) => [each.machine, each.limit]));
  const signals = joined.map((signal, i): Signal => {
    const repeatLimit = limitOf.get(signal.machine) ?? null;
    const outcome = deriveOutcome(signal, { repeatLimit });
    if (outcome.grade === "as-stated") {
      const facts = deriveOutcome({ ...signal, outcome_stated: null }, { repeatLimit });
      if (facts.status === "known" && facts.class !== outcome.class) {
        remarks.add("dig-log", "outcome_stated", JOINED.disagrees, first(i, signal.outcome_stated ?? ""));
      }
    }
    return { ...signal, outcome };
  });

  let odd: LoadReport["flags"] | null = null;
  return {
    season: { machines: machines.machines, settings: machines.settings, signals, outings: outingList },
    report: {
      spacedX: spacedX ?? null,
      accounts: done.map((each) => each.account),
      rejected: done.flatMap((each) => each.rejected),
      assumptions: [...conversions, ...done.flatMap((each) => each.assumptions), ...assumed.list()],
      // Looking for what is odd takes a while in a large log, and many callers never ask.
      get flags() {
        odd ??= findSuspicious(signals, {
          place: (index) => ({
            file: signalTable.file,
            line: signalTable.place(applied.records[index]! - 1, 0).line,
          }),
          outings: outingList,
        });
        return [...done.flatMap((each) => each.flags), ...remarks.list(), ...odd];
      },
      ignored: done.flatMap((each) => each.ignored),
      repeatNoise: noise,
      outcomes: countOutcomes(signals),
    },
    privateSites: [...privateSites],
  };
}
