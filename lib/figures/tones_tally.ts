import type { BandTable } from "../tones/mod.ts";
import { plainWord } from "./plain_word.ts";
import { type Shown, tally } from "./show.ts";

/**
 * Shows a band table as counts and records it. Rows and columns without a count stay: an empty cell is a finding too.
 *
 * Throws RangeError for an unlisted id.
 *
 * @example
 * ```ts
 * import { bandTable, tonesTally } from "overiron";
 * const table = bandTable([{ row: 0, column: 1, count: 3, cluster: "a" }],
 *   { of: {}, unit: "trials", rows: ["low"], columns: ["iron", "low"] });
 * const shown = tonesTally(table, { id: "tones.cleanByTogether", caption: "Bands", rowTitle: "clean" });
 * if (shown.recorded.tables[0]!.n !== 3) throw new Error(shown.text);
 * ```
 */
export function tonesTally(
  table: BandTable,
  options: { readonly id: string; readonly caption: string; readonly rowTitle: string },
): Shown {
  const { of, unit, rows, columns, counts } = table;
  return tally({ ...options, of, unit, rows: rows.map(plainWord), columns: columns.map(plainWord), counts });
}
