import type { SignalCounts } from "../sweep/mod.ts";
import { plainWord } from "./plain_word.ts";
import { type Shown, tally } from "./show.ts";

/**
 * Shows one table of a season's signals as counts, in plain words, and records it.
 *
 * Throws RangeError for an unlisted id.
 *
 * @example
 * ```ts
 * import { seasonCounts } from "overiron";
 * const shown = seasonCounts({ rows: ["good"], columns: ["not-dug"], counts: [[2]] },
 *   { id: "season.callByOutcome", caption: "Own call", rowTitle: "call" });
 * if (shown.recorded.tables[0]!.n !== 2 || !shown.text.includes("not dug")) throw new Error(shown.text);
 * ```
 */
export function seasonCounts(
  counts: SignalCounts,
  options: { readonly id: string; readonly caption: string; readonly rowTitle: string },
): Shown {
  return tally({
    ...options,
    unit: "signals",
    rows: counts.rows.map(plainWord),
    columns: counts.columns.map(plainWord),
    counts: counts.counts,
  });
}
