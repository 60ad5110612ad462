import { applySchema, type RowSchema } from "./apply_schema.ts";
import { expandLogFile } from "./expand_log_file.ts";
import { FIELDS } from "./fields.ts";
import { FileFault } from "./file_fault.ts";
import { findSuspiciousTrials } from "./find_suspicious_trials.ts";
import { machineFinder, passesOfRow, refuseNoMachine, refuseUnknownMachines } from "./_machine_of_row.ts";
import type { LoadDigLogOptions } from "./load_dig_log.ts";
import type { MachinesFile } from "./machines.ts";
import { mapTable } from "./map_table.ts";
import { isDate } from "./read_cell.ts";
import { type LogFile, readTable } from "./read_table.ts";
import type { ReadReadingsOptions } from "./read_readings.ts";
import type { LoadReport } from "./report.ts";
import type { Garden, Trial } from "./rows.ts";

export type LoadGardenLogOptions = Omit<LoadDigLogOptions, "repeatNoise">;

/** A garden log, loaded. */
export interface GardenLog {
  readonly garden: Garden;
  readonly report: LoadReport;
}

/** The sentences that loading a garden log may put into its report, beside those of readings cells. */
export const GARDEN_NOTES = {
  ownBlock:
    "A trial without a block was taken as a block of its own: nothing is known to have stayed the same between it and another",
  noGap: "A target and a neighbour lie together, but neither gap nor height difference says how far apart",
  nothing: "Neither a target nor a neighbour was laid",
} as const;

const none = (name: string | null): string | null =>
  name === null || /^(?:none|-|no)$/i.test(name) ? null : name.replace(/\s+/g, " ");

/**
 * Loads a garden log: a row a trial.
 *
 * The smallest garden log that works has the columns trial_id, target, neighbour, gap_cm, readings_right and
 * readings_left, and where the machines file has several machines also machine or settings. A row without any readings
 * is planned: counted, and no trial. Without a block each trial is a block of its own, and the report says so.
 *
 * Throws FileFault as `loadDigLog` does.
 *
 * @example
 * ```ts
 * import { loadGardenLog, parseMachines } from "overiron";
 * const machines = parseMachines(JSON.stringify({
 *   schema: "overiron-machines/1",
 *   machines: [{
 *     machine: "Machine A",
 *     scale: { low: 0, high: 600, step: 1 },
 *     iron_break: 150,
 *     tones: { name: "one", kind: "bands", breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] },
 *   }],
 * }));
 * const text = "trial_id,target,neighbour,gap_cm,readings_right,readings_left\n1,disc,nail,4,380 390,350\n2,disc,nail,2,,\n";
 * const { garden, report } = await loadGardenLog({ name: "garden.csv", bytes: new TextEncoder().encode(text) }, machines);
 * if (garden.trials[0]?.gap_cm !== 4 || report.accounts[0]?.planned !== 1) throw new Error("wrong");
 * ```
 */
export async function loadGardenLog(
  file: LogFile,
  machines: MachinesFile,
  options: LoadGardenLogOptions = {},
): Promise<GardenLog> {
  const { strict = false, spacedX, mapping = new Map<string, string>(), columns, guarded, ...readOptions } =
    options;
  const readings: ReadReadingsOptions = spacedX === undefined ? {} : { spacedX };
  const inside = await expandLogFile(file, readOptions);
  const log = inside.find(({ role }) => role === "trials") ?? (inside.length === 1 ? inside[0] : undefined);
  const read = await readTable(log ?? file, readOptions);
  if (columns !== undefined && columns.table !== "trials") {
    throw new FileFault(
      `Cannot use the mapping on ${read.file}: a garden log needs one for a table of trials, got one of ${
        columns.table ?? "signals"
      }`,
      { file: file.name },
    );
  }
  const mapped = columns === undefined
    ? null
    : mapTable(read, columns, guarded === undefined ? {} : { guarded });
  const table = mapped ?? read;
  refuseUnknownMachines(table, machines, mapping);
  refuseNoMachine(table, machines, mapping);
  const machineOf = machineFinder(machines);
  const triedAt = new WeakMap<Trial, string>();
  const schema: RowSchema<Trial> = {
    role: "garden-log",
    fields: FIELDS.trial,
    needed: FIELDS.trial.filter((field) => field.need === "needed").map((field) => field.name),
    id: "trial_id",
    finish(row) {
      const of = machineOf(row, row.text("settings"), row.text("machine"));
      if (of === null) return null;
      const { scale } = of.machine;
      const text = (name: string): string | null => row.text(name);
      const side = (name: "right" | "left" | "cross") =>
        passesOfRow(row, `readings_${name}`, { ...readings, scale, counts: name });
      const right = side("right"), left = side("left"), cross = side("cross");
      const clean = passesOfRow(row, "clean_readings", { ...readings, scale });
      const neighbourAlone = passesOfRow(row, "neighbour_readings", { ...readings, scale });
      if (right === null && left === null && cross === null && clean === null && neighbourAlone === null) {
        return "planned";
      }
      const trialId = text("trial_id")!;
      if (text("block") === null) row.assume(row.has("block") ? "block" : null, GARDEN_NOTES.ownBlock);
      const target = none(text("target")), neighbour = none(text("neighbour"));
      if (target === null && neighbour === null) row.flag(null, GARDEN_NOTES.nothing);
      const gap = row.number("gap_cm"), height = row.number("height_difference_cm");
      if (target !== null && neighbour !== null && gap === null && height === null) {
        row.flag("gap_cm", GARDEN_NOTES.noGap);
      }
      const tried = text("tried_at");
      const day = tried === null ? null : tried.slice(0, 10);
      const trial: Trial = {
        trial_id: trialId,
        block: text("block") ?? `trial ${trialId}`,
        run_order: row.number("run_order"),
        date: day !== null && isDate(day) ? day : null,
        settings: of.settings,
        machine: of.machine.machine,
        discrimination: of.discrimination,
        spot: text("spot"),
        medium: text("medium") as Trial["medium"],
        target,
        target_tilt: row.number("target_tilt"),
        target_size_mm: row.number("target_size_mm"),
        depth_cm: row.number("depth_cm"),
        coil_height_cm: row.number("coil_height_cm"),
        neighbour,
        neighbour_kind: none(text("neighbour_kind")),
        neighbour_length_mm: row.number("neighbour_length_mm"),
        neighbour_thickness_mm: row.number("neighbour_thickness_mm"),
        neighbour_count: row.number("neighbour_count"),
        side: text("side") as Trial["side"],
        neighbour_heading_deg: row.number("neighbour_heading_deg"),
        neighbour_tilt_deg: row.number("neighbour_tilt_deg"),
        gap_cm: gap,
        height_difference_cm: height,
        right,
        left,
        cross,
        tone_heard: text("tone_heard"),
        blind: text("blind") as Trial["blind"],
        clean,
        neighbourAlone,
      };
      if (tried !== null) triedAt.set(trial, tried);
      return trial;
    },
  };
  const applied = applySchema(table, schema, {
    mapping,
    strict,
    ...(guarded === undefined ? {} : { guarded }),
    ...(readOptions.decimal === undefined ? {} : { decimal: readOptions.decimal }),
  });
  let odd: LoadReport["flags"] | null = null;
  return {
    garden: { machines: machines.machines, settings: machines.settings, trials: applied.rows },
    report: {
      spacedX: spacedX ?? null,
      accounts: [applied.account],
      rejected: applied.rejected,
      assumptions: [...mapped?.assumptions ?? [], ...applied.assumptions],
      // Looking for what is odd takes a while in a large log, and many callers never ask.
      get flags() {
        odd ??= findSuspiciousTrials(applied.rows, {
          place: (index) => ({
            file: table.file,
            line: table.place(applied.records[index]! - 1, 0).line,
          }),
          machines: machines.machines,
          triedAt: (index) => triedAt.get(applied.rows[index]!) ?? null,
        });
        return [...applied.flags, ...odd];
      },
      ignored: applied.ignored,
      repeatNoise: [],
      outcomes: [],
    },
  };
}
