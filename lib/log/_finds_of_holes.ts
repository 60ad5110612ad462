import { type Applied, applySchema, type ApplySchemaOptions, type RowSchema } from "./apply_schema.ts";
import { FIELDS } from "./fields.ts";
import { passesOfRow } from "./_machine_of_row.ts";
import type { MachinesFile } from "./machines.ts";
import type { ReadReadingsOptions } from "./read_readings.ts";
import type { Find } from "./rows.ts";
import type { SignalDraft } from "./_signal_row.ts";
import type { Table } from "./table.ts";

export interface FindsOfHolesOptions {
  /** The log's table of finds, where it has one. */
  readonly table: Table | undefined;
  readonly machines: MachinesFile;
  readonly readings: ReadReadingsOptions;
  readonly apply: ApplySchemaOptions;
}

/** The finds of each hole, from the signals' own rows and from a table of finds, in order. */
export interface FindsOfHoles {
  readonly findsOf: ReadonlyMap<string, readonly Find[]>;
  /** What came of the table of finds; null where there is none. */
  readonly found: Applied<Find> | null;
}

/** Gives each hole of accepted signals its finds. */
export function findsOfHoles(drafts: readonly SignalDraft[], options: FindsOfHolesOptions): FindsOfHoles {
  const { table, machines, readings, apply } = options;
  const findsOf = new Map<string, Find[]>();
  for (const { signal } of drafts) {
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
  if (table === undefined) return { findsOf, found: null };
  const byHole = new Map<string, SignalDraft>();
  for (const draft of drafts) byHole.set(draft.signal.hole_id ?? draft.signal.signal_id, draft);
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
  const found = applySchema(table, schema, apply);
  for (const find of found.rows) {
    const finds = findsOf.get(find.hole_id);
    if (finds === undefined) findsOf.set(find.hole_id, [find]);
    else finds.push(find);
  }
  for (const finds of findsOf.values()) finds.sort((a, b) => a.order - b.order);
  return { findsOf, found };
}
