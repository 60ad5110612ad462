import { MERGED_COLUMN } from "./_flat_rows.ts";
import { IDS, type Merging } from "./_merging.ts";

/** Two rows that may be one signal. */
export interface Duplicate {
  /**
   * identical: same id and same cells; the second is left out. changed: same id, day and site, other cells; both are kept.
   * alike: other ids, but the same place, minute and readings; both are kept.
   */
  readonly kind: "identical" | "changed" | "alike";
  readonly first: DuplicateRow;
  readonly second: DuplicateRow;
}

export interface DuplicateRow {
  readonly log: string;
  readonly file: string;
  readonly line: number;
  /** The id as the merged log has it. */
  readonly signal_id: string;
}

const asRow = ({ log, row }: Merging): DuplicateRow => ({
  log,
  file: row.file,
  line: row.line,
  signal_id: row.cells.get("signal_id") ?? "",
});

/** All that a row says, without the ids that merging changes. */
const content = ({ row }: Merging): string =>
  JSON.stringify(
    [...row.cells].filter(([name]) => name !== MERGED_COLUMN && !IDS.test(name))
      .sort(([a], [b]) => a < b ? -1 : 1),
  );

/** Day and minute, place and readings: what two rows of one signal share. Null where too little is logged. */
function occasion({ row: { cells } }: Merging): string | null {
  const seen = cells.get("seen_at");
  const match = seen === undefined ? null : /^(?:(\d{4}-\d{2}-\d{2})[T ])?(\d{2}:\d{2})/.exec(seen);
  const day = match?.[1] ?? cells.get("date");
  const latitude = Number(cells.get("latitude") ?? NaN), longitude = Number(cells.get("longitude") ?? NaN);
  const place = Number.isFinite(latitude) && Number.isFinite(longitude)
    ? `${latitude.toFixed(5)} ${longitude.toFixed(5)}`
    : cells.get("site")?.toLowerCase();
  if (match === null || day === undefined || place === undefined) return null;
  return JSON.stringify([
    day,
    match[2],
    place,
    cells.get("readings_right") ?? "",
    cells.get("readings_left") ?? "",
  ]);
}

/** Finds rows that may be one signal, in the order of the rows. */
export function findDuplicates(all: readonly Merging[]): Duplicate[] {
  const duplicates: Duplicate[] = [];
  const byId = new Map<string, Merging[]>();
  const byOccasion = new Map<string, Merging>();
  for (const each of all) {
    const { cells } = each.row;
    const idKey = each.ownId === ""
      ? null
      : JSON.stringify([each.ownId, cells.get("date") ?? "", cells.get("site")?.toLowerCase() ?? ""]);
    const same = idKey === null ? undefined : byId.get(idKey);
    const own = content(each);
    const twin = same?.find((other) => content(other) === own);
    const when = occasion(each);
    const before = twin ?? same?.[0] ?? (when === null ? undefined : byOccasion.get(when));
    if (before !== undefined) {
      const kind = twin !== undefined ? "identical" : same !== undefined ? "changed" : "alike";
      duplicates.push({ kind, first: asRow(before), second: asRow(each) });
    }
    if (same !== undefined) same.push(each);
    else if (idKey !== null) byId.set(idKey, [each]);
    if (when !== null && !byOccasion.has(when)) byOccasion.set(when, each);
  }
  return duplicates;
}
