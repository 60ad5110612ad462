import type { DragPoint } from "./_drag_data.ts";
import type { GardenDrift, LaidPair, TrialDrift } from "./trial_drift.ts";

/** Fewest distinct gaps for a curve. */
export const leastGaps = 4;

/** A row with a drag: both readings alone are known. */
export type Usable = TrialDrift & { readonly drag: number; readonly neighbourReading: number };
export const usable = (row: TrialDrift): row is Usable => row.drag !== null && row.neighbourReading !== null;

export const countDistinct = <T>(items: readonly T[]): number => new Set(items).size;

/** The pairs of one target with their usable rows, and the points that a curve is fitted to. */
export interface GroupPoints {
  readonly pairs: readonly LaidPair[];
  /** By pair. */
  readonly rowsOf: readonly (readonly Usable[])[];
  /** The pairs with enough gaps: `points[k].pair` is a place in this list, which holds places in `pairs`. */
  readonly fitted: readonly number[];
  readonly points: readonly DragPoint[];
  /** The row behind each point. */
  readonly rows: readonly Usable[];
  /** `points[k].block` is a place in this list. */
  readonly blockNames: readonly string[];
  readonly depth_cm: number | null;
  readonly depthVaries: boolean;
}

/** The most frequent depth, the shallower of equals; null where none is logged. */
function usualDepth(rows: readonly Usable[]): number | null {
  const counts = new Map<number, number>();
  for (const { depth_cm } of rows) {
    if (depth_cm !== null) counts.set(depth_cm, (counts.get(depth_cm) ?? 0) + 1);
  }
  return [...counts].sort((a, b) => b[1] - a[1] || a[0] - b[0])[0]?.[0] ?? null;
}

/** Groups of a garden: the pairs of one machine, settings, target, coil height and medium. */
export function groupsOf(drift: GardenDrift): readonly (readonly LaidPair[])[] {
  const groups = [...new Set(drift.pairs.map((pair) => pair.group))];
  return groups.map((group) => drift.pairs.filter((pair) => pair.group === group));
}

export function groupPoints(drift: GardenDrift, pairs: readonly LaidPair[]): GroupPoints {
  const byPair = new Map(pairs.map((pair) => [pair.key, [] as Usable[]]));
  for (const row of drift.rows) if (usable(row)) byPair.get(row.pair)?.push(row);
  const rowsOf = pairs.map((pair) => byPair.get(pair.key)!);
  const all = rowsOf.flat();
  const depth_cm = usualDepth(all);
  const fitted = pairs.flatMap((_, i) =>
    countDistinct(rowsOf[i]!.map((row) => row.gap_cm)) >= leastGaps ? [i] : []
  );
  const blockNames = [...new Set(all.map((row) => row.block))];
  const blockAt = new Map(blockNames.map((name, i) => [name, i]));
  const rows = fitted.flatMap((i) => rowsOf[i]!);
  const points = fitted.flatMap((i, index) =>
    rowsOf[i]!.map((row): DragPoint => ({
      x2: (row.gap_cm + (pairs[i]!.touching_cm ?? 0)) ** 2,
      z2: depth_cm === null || row.depth_cm === null ? 0 : row.depth_cm ** 2 - depth_cm ** 2,
      reading: row.reading,
      clean: row.clean,
      alone: row.neighbourReading,
      pair: index,
      block: blockAt.get(row.block)!,
      cleanKey: JSON.stringify([row.direction, row.depth_cm, row.cleanFrom, row.clean]),
      aloneKey: JSON.stringify([pairs[i]!.neighbour, row.neighbourFrom, row.neighbourReading]),
    }))
  );
  const depthVaries = countDistinct(points.map((point) => point.z2)) > 1;
  return { pairs, rowsOf, fitted, points, rows, blockNames, depth_cm, depthVaries };
}
