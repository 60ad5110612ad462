import type { Remarks } from "./apply_schema.ts";
import type { RowValues } from "./fast_row_values.ts";
import type { SignalTable } from "./fast_signal_table.ts";
import { JOINED } from "./_join_notes.ts";
import type { Find } from "./rows.ts";

/** A hole that several signals name. */
export interface SharedHole {
  readonly id: string;
  readonly rows: number[];
  finds: readonly Find[];
  dug: number;
}

export interface SharedHolesOptions {
  readonly values: RowValues;
  readonly flagged: Remarks;
  /** The log has a column that says what was dug; without it, a signal of a hole with finds was dug. */
  readonly saysDug: boolean;
}

/** Whether two signals may have one hole: one names another's, or both name a third. */
function severalPerHole({ codes, words, rows, count, hasId }: SignalTable): boolean {
  const holes = codes.hole_id;
  if (holes === null) return false;
  const used = new Uint8Array(words.hole_id.values.length);
  for (let i = 0; i < count; i++) {
    const code = holes[rows[i]!]!;
    if (code === 0) continue;
    if (used[code] === 1 || hasId(words.hole_id.values[code] as string)) return true;
    used[code] = 1;
  }
  return false;
}

/** Finds the holes that several signals name, which is seldom, and gives each of their rows its hole. */
export function sharedHoles(
  found: SignalTable,
  options: SharedHolesOptions,
): ReadonlyMap<number, SharedHole> {
  const { rows, count, words, codes } = found;
  const { values: { valueAt, findsOfRow, first }, flagged, saysDug } = options;
  const holeOf = new Map<number, SharedHole>();
  if (!severalPerHole(found)) return holeOf;
  const dugNo = words.dug.codeOfValue("no"), dugYes = words.dug.codeOfValue("yes");
  const byId = new Map<string, SharedHole>();
  for (let i = 0; i < count; i++) {
    const row = rows[i]!;
    const id = valueAt("hole_id", row) ?? found.signalId(row);
    const hole = byId.get(id);
    if (hole !== undefined) hole.rows.push(row);
    else byId.set(id, { id, rows: [row], finds: [], dug: 0 });
  }
  for (const hole of byId.values()) {
    if (hole.rows.length === 1) continue;
    const all: Find[] = [];
    for (const row of hole.rows) {
      holeOf.set(row, hole);
      for (const find of findsOfRow(row, hole.id)) {
        const order = all.length + 1;
        if (order === 1) all.push(find);
        else {
          const named = find.find_id !== `${hole.id}-${find.order}`;
          all.push({ ...find, order, find_id: named ? find.find_id : `${hole.id}-${order}` });
        }
      }
    }
    hole.finds = all;
  }
  for (let i = 0; i < count; i++) {
    const row = rows[i]!, hole = holeOf.get(row);
    if (hole === undefined) continue;
    if (codes.dug[row] === dugNo && hole.finds.length > 0 && !saysDug) codes.dug[row] = dugYes;
    if (codes.dug[row] !== dugNo && ++hole.dug === 2) {
      flagged.add("dig-log", "hole_id", JOINED.sharedHole, first(row, hole.id));
    }
  }
  return holeOf;
}
