import type { FlatRow } from "./_flat_rows.ts";

/** The columns that hold ids: each gets its log's name in front. */
export const IDS = /^(?:signal_id|outing_id|hole_id|find_id(?:_\d{1,2})?)$/;

/** A row of a log that is being merged. */
export interface Merging {
  readonly log: string;
  readonly row: FlatRow;
  /** The signal's id in its own log. */
  readonly ownId: string;
}
