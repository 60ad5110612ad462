import type { BandTable } from "../tones/mod.ts";
import { plainWord } from "./plain_word.ts";
import { type Shown, type Stated, stated, table } from "./show.ts";

/**
 * Shows the row shares of a band table with their intervals, a row for each row that holds a count. A cell without a count
 * has an interval too: none of so many may still be some.
 *
 * `compared` says what rows and columns are ("clean and together"), for the record. Throws nothing of its own.
 *
 * @example
 * ```ts
 * import { bandTable, tonesShareTable } from "overiron";
 * const counts = bandTable([{ row: 0, column: 1, count: 3, cluster: "a" }],
 *   { of: {}, unit: "trials", rows: ["low", "high"], columns: ["iron", "low"] });
 * const shown = tonesShareTable(counts, { caption: "Shares", rowTitle: "clean", compared: "clean and together" });
 * if (shown.recorded.results.length !== 2) throw new Error("two cells of one row");
 * ```
 */
export function tonesShareTable(
  counts: BandTable,
  options: { readonly caption: string; readonly rowTitle: string; readonly compared: string },
): Shown {
  const { caption, rowTitle, compared } = options;
  const { rows, columns, shares, of, unit } = counts;
  const filled = rows.map((row, i) => ({
    row,
    i,
    n: counts.counts[i]!.reduce((sum, count) => sum + count, 0),
  }))
    .filter(({ n }) => n > 0);
  return table({
    caption,
    columns: [rowTitle, ...columns.map(plainWord)],
    rows: filled.map(({ row, i, n }): (Stated | string)[] => [
      `${plainWord(row)} (${n})`,
      ...columns.map((column, j) =>
        stated("tones.cellShare", { ...of, compared, unit, row, column }, shares[i]![j]!, {
          form: "interval",
        })
      ),
    ]),
  });
}
