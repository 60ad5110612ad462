import type { SeasonAtAGlance } from "../sweep/mod.ts";
import { type Shown, tally } from "./show.ts";

/**
 * Shows how many finds lay in a hole: holes dug to the end by 0, 1, 2, and 3 or more.
 *
 * @example
 * ```ts
 * import { seasonFindsInHole } from "overiron";
 * if (seasonFindsInHole({ findsPerHole: [{ finds: "0", holes: 4 }] }).recorded.tables[0]!.n !== 4) throw new Error("wrong");
 * ```
 */
export function seasonFindsInHole(glance: Pick<SeasonAtAGlance, "findsPerHole">): Shown {
  return tally({
    id: "season.findsInHole",
    unit: "holes",
    caption: "Holes by the number of finds in them",
    rowTitle: "",
    rows: ["holes"],
    columns: glance.findsPerHole.map(({ finds }) => `${finds} finds`.replace(/^1 finds$/, "1 find")),
    counts: [glance.findsPerHole.map(({ holes }) => holes)],
  });
}
