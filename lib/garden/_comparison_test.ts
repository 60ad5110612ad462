import { type Absent, absent, blockPermutationTest, type Counts } from "../numbers/mod.ts";
import type { ComparedBy, ComparisonTest } from "./compare_half_gaps.ts";
import type { DragPoint } from "./_drag_data.ts";
import { dragAt, fitDragPoints } from "./_drag_fit.ts";
import { countDistinct, leastGaps, type Usable } from "./_group_points.ts";

/** A usable row with what it is compared by. */
export interface Labelled {
  readonly row: Usable;
  readonly level: string;
  /** Tells curves with one slope: the machine, settings and target. */
  readonly group: string;
  /** What is the same under both levels. */
  readonly pair: string;
  readonly touching: number;
  readonly of: Readonly<Record<string, string>>;
  readonly arm: string;
}

export function toPoint(each: Labelled, pair: number, blocks: readonly string[]): DragPoint {
  const { row, touching, arm, of } = each;
  return {
    x2: (row.gap_cm + touching) ** 2,
    z2: 0,
    reading: row.reading,
    clean: row.clean,
    alone: row.neighbourReading,
    pair,
    block: blocks.indexOf(row.block),
    cleanKey: JSON.stringify([arm, row.direction, row.depth_cm, row.cleanFrom, row.clean]),
    aloneKey: JSON.stringify([of.neighbour, row.neighbourFrom, row.neighbourReading]),
  };
}

/** How far each reading pulls q under one common curve, in cm2, and whether labels dealt anew part them as far. */
export function comparisonTest(
  used: readonly Labelled[],
  chosen: { readonly by: ComparedBy; readonly levels: readonly [string, string]; readonly seed: number },
): ComparisonTest | Absent {
  const { levels, by, seed } = chosen;
  const n: Counts = { readings: used.length };
  const blocks = [...new Set(used.map((each) => each.row.block))];
  if (countDistinct(used.map((each) => each.row.gap_cm)) < leastGaps) {
    return absent("too few gaps", `A common curve needs ${leastGaps} distinct gaps`, n);
  }
  const points = used.map((each) => toPoint(each, 0, blocks));
  const fit = fitDragPoints(points, 1, { covariance: false });
  if (!fit.converged) return absent("no fit", "No common curve could be fitted", n);
  const weightOf = new Map(fit.data.points.map((point, i) => [point, fit.weights[i]!]));
  let information = 0;
  const pulls = points.map((point, i) => {
    const { drag, apart } = fit.points[i]!, p = dragAt((fit.q[0]! - point.x2) / fit.s);
    const steep = p * (1 - p) * apart / fit.s, w = weightOf.get(point)!;
    information += w * steep * steep;
    return w * steep * apart * (drag - p);
  });
  const scaled = pulls.map((pull) => pull * pulls.length / information);
  // One value a trial and level; for "order" the block is the trial, whose two directions may be swapped.
  const units = new Map<string, { value: number; count: number; treated: number; block: string }>();
  used.forEach((each, i) => {
    const key = JSON.stringify([each.row.trial_id, each.level]);
    const block = by === "order" ? each.row.trial_id : each.row.block;
    const unit = units.get(key) ?? { value: 0, count: 0, treated: each.level === levels[1] ? 1 : 0, block };
    unit.value += scaled[i]!;
    unit.count++;
    units.set(key, unit);
  });
  const list = [...units.values()];
  const found = blockPermutationTest(list.map((unit) => unit.value / unit.count), {
    treated: list.map((unit) => unit.treated),
    block: list.map((unit) => unit.block),
    seed,
    name: "garden/comparison",
    replicates: 5000,
    mostExact: 20_000,
  });
  if ("absent" in found) {
    return absent(
      "no block with both",
      "No block holds trials under both, so that labels cannot be dealt anew",
      n,
    );
  }
  const kinds = [...new Set(list.map((unit) => unit.block))].map((block) => {
    const own = list.filter((unit) => unit.block === block);
    return { all: own.length, treated: own.filter((unit) => unit.treated === 1).length };
  }).filter(({ all, treated }) => treated > 0 && treated < all);
  const mirrored = kinds.every(({ all, treated }) => 2 * treated === all);
  return {
    p: found.pTwoSided,
    smallestP: found.exact && mirrored ? 2 / found.assignments : 1 / found.assignments,
    assignments: found.assignments,
    exact: found.exact,
    blocks: kinds.length,
  };
}
