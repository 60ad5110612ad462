import { median } from "../numbers/median.ts";
import { standingReadings } from "./derive_outcome.ts";
import { rankCorrelation } from "./_rank_correlation.ts";
import type { Passes } from "./rows.ts";

const FEWEST_ROWS = 30;
/** One-sided 0.001 of the standard normal distribution. */
const GROWTH_Z = 3.09;

/** A row of a log, and the machine and settings that it is compared within. */
export interface SweptRow {
  readonly group: string;
  readonly right: Passes | null;
  readonly left: Passes | null;
}

/**
 * Finds the groups of 30 rows or more in which the passes grow in number with the reading: Spearman's rank correlation of the median reading and the number
 * of passes lies beyond a one-sided 0.001. Gives the place of a group's first row among `rows`, and the correlation in words.
 */
export function growingPasses(
  rows: readonly SweptRow[],
): { readonly index: number; readonly value: string }[] {
  const groups = new Map<string, { index: number; reading: number; passes: number }[]>();
  rows.forEach(({ group, right, left }, index) => {
    const readings: number[] = [];
    let passes: number | null = 0;
    for (const cell of [right, left]) {
      if (cell === null) continue;
      for (const reading of standingReadings(cell)) readings.push(reading);
      passes = passes === null || cell.passes === null ? null : passes + cell.passes;
    }
    if (readings.length === 0 || passes === null) return;
    const row = { index, reading: median(readings), passes };
    const known = groups.get(group);
    if (known === undefined) groups.set(group, [row]);
    else known.push(row);
  });
  return [...groups.values()].filter((each) => each.length >= FEWEST_ROWS).flatMap((each) => {
    const found = rankCorrelation(each.map(({ reading }) => reading), each.map(({ passes }) => passes));
    return found !== null && found.z > GROWTH_Z
      ? [{ index: each[0]!.index, value: `rank correlation ${found.rho.toFixed(2)}` }]
      : [];
  });
}
