import type { Passes } from "../log/mod.ts";

/** One pass as it is heard: its reading (null: silent), and which way the coil went (1 to the right, -1 to the left). */
export interface OnePass {
  readonly reading: number | null;
  readonly direction: 1 | -1;
}

function passesOf(cell: Passes | null, direction: 1 | -1): OnePass[] {
  if (cell === null || cell.kind !== "passes") return [];
  return [...cell.readings, ...Array.from({ length: cell.silent }, () => null)].map((reading) => ({
    reading,
    direction,
  }));
}

/**
 * The passes of a signal in the order in which they sound: right, left, right, left; where one direction has more, the rest
 * of it goes on alone. Silent passes come after the readings of their direction. Summaries are not passes.
 */
export function passesInTurn(
  record: { readonly right: Passes | null; readonly left: Passes | null },
): OnePass[] {
  const right = passesOf(record.right, 1), left = passesOf(record.left, -1);
  return Array.from({ length: Math.max(right.length, left.length) }, (_, i) => [right[i], left[i]])
    .flat().filter((pass) => pass !== undefined);
}
