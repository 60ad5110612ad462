import { type Absent, absent } from "../numbers/mod.ts";
import type { Passes, ToneScheme } from "../log/mod.ts";
import { bandOf } from "./band_of.ts";

/** The bands of the passes of one readings cell: how often each band sounded, and how many passes were silent. */
export interface PassBands {
  /** One count a band, in the order of the scheme. */
  readonly counts: readonly number[];
  /** Passes that gave no number. */
  readonly silent: number;
}

/**
 * Counts in which band each pass of one or several readings cells falls.
 *
 * A cell that was not logged (null) adds nothing. A summary (low to high, or low, usual and high) is not a list of
 * passes: its cell adds nothing either, and where no cell holds passes the answer is an absence that says so.
 *
 * @example
 * ```ts
 * import { exampleToneSchemes, passBands } from "overiron";
 * const two = exampleToneSchemes().find((entry) => entry.scheme.name === "two bands, 0 to 600")!.scheme;
 * const bands = passBands([{ written: "90 x 210", kind: "passes", readings: [90, 210], silent: 1, passes: 3, approximate: false }], two);
 * if ("absent" in bands || bands.counts.join() !== "1,1" || bands.silent !== 1) throw new Error("wrong");
 * ```
 */
export function passBands(cells: readonly (Passes | null)[], scheme: ToneScheme): PassBands | Absent {
  const counts = scheme.bands.map(() => 0);
  let silent = 0;
  let used = 0;
  let summaries = 0;
  for (const cell of cells) {
    if (cell === null) continue;
    if (cell.kind !== "passes") {
      summaries++;
      continue;
    }
    used++;
    silent += cell.silent;
    for (const reading of cell.readings) counts[bandOf(reading, scheme)]!++;
  }
  if (used === 0) {
    return summaries > 0
      ? absent("summary", "Only the lowest and highest readings were written down, not the passes", {
        passes: 0,
      })
      : absent("not logged", "No readings were written down", { passes: 0 });
  }
  return { counts, silent };
}
