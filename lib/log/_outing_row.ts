import type { RowSchema } from "./apply_schema.ts";
import { FIELDS } from "./fields.ts";
import { type machineFinder, passesOfRow } from "./_machine_of_row.ts";
import type { ReadReadingsOptions } from "./read_readings.ts";
import type { Outing } from "./rows.ts";

/** What a table of outings must hold, and how a row of it is made. */
export function outingSchema(
  machineOf: ReturnType<typeof machineFinder>,
  readings: ReadReadingsOptions,
): RowSchema<Outing> {
  return {
    role: "outings",
    fields: FIELDS.outing,
    needed: ["outing_id", "site"],
    id: "outing_id",
    finish(row) {
      const of = machineOf(row, row.text("settings"), row.text("machine"));
      const site = (row.text("site") ?? "").replace(/\s+/g, " ");
      if (site === "") row.fault("site", "must be filled");
      if (of === null || site === "") return null;
      const { scale } = of.machine;
      return {
        outing_id: row.text("outing_id")!,
        date: row.text("date"),
        site,
        settings: of.settings,
        machine: of.machine.machine,
        observer: row.text("observer"),
        ground: row.text("ground"),
        moisture: row.text("moisture"),
        balance: row.number("balance"),
        coil_height_cm: row.number("coil_height_cm"),
        check_start: passesOfRow(row, "check_start", { ...readings, scale }),
        check_end: passesOfRow(row, "check_end", { ...readings, scale }),
        holes_filled: row.number("holes_filled"),
      };
    },
  };
}
