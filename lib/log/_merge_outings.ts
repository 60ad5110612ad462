import { MERGED_COLUMN } from "./_flat_rows.ts";
import type { Merging } from "./_merging.ts";

/**
 * Gives every row without an outing_id one of its own log. Otherwise a loader would take rows of one site, day and machine
 * as one outing, though two people walked it. Gives the ids that were made.
 */
export function makeOutings(all: readonly Merging[]): ReadonlySet<string> {
  const taken = new Set(all.flatMap(({ row }) => row.cells.get("outing_id") ?? []));
  const ids = new Map<string, string>(), numbers = new Map<string, number>();
  for (const { row: { cells } } of all) {
    if (cells.has("outing_id")) continue;
    const from = cells.get(MERGED_COLUMN)!;
    const parts = ["site", "date", "settings", "machine", "observer"].map((name) =>
      (cells.get(name) ?? "").replace(/\s+/g, " ")
    );
    const key = JSON.stringify([from, ...parts]);
    let id = ids.get(key);
    if (id === undefined) {
      let number = numbers.get(from) ?? 0;
      do id = `${from}:outing-${++number}`; while (taken.has(id));
      numbers.set(from, number);
      ids.set(key, id);
    }
    cells.set("outing_id", id);
  }
  return new Set(ids.values());
}
