import { inverse, Matrix, pseudoInverse } from "ml-matrix";
import { absent, clusterRobustMean, type Counts, type Estimate, isPresent, mean } from "../numbers/mod.ts";
import { type DragFit, fitDragPoints } from "./_drag_fit.ts";
import { addSums, dragAt, emptySums, scaleAt } from "./_drag_sums.ts";
import { type GroupPoints, groupPoints, groupsOf } from "./_group_points.ts";
import type { GardenDrift, LaidPair } from "./trial_drift.ts";

/** q of one pair, fitted freely and as a sum of a part of its target and a part of its neighbour. */
export interface AdditivePair {
  readonly pair: LaidPair;
  readonly freeQCm2: number;
  readonly additiveQCm2: number;
}

/** Whether q can be had as target's part plus neighbour's part, on one machine and settings. */
export interface AdditiveComparison {
  readonly machine: string;
  readonly settings: string | null;
  readonly pairs: readonly AdditivePair[];
  /** Error of foretold readings, in reading units, additive less free: block by block, with the interval of the paired difference. */
  readonly difference: Estimate;
  readonly verdict: "additive is worse" | "additive is better" | "cannot tell";
  readonly n: Counts;
}

interface Part {
  readonly group: GroupPoints;
  /** What the neighbour and its laying are called, the target apart, by fitted pair. */
  readonly neighbours: readonly string[];
}

/** What tells a neighbour as laid from others, without machine and target. */
const neighbourKey = (pair: LaidPair): string => JSON.stringify((JSON.parse(pair.key) as unknown[]).slice(8));

/**
 * Compares an additive q (a part of the target plus a part of the neighbour as laid, as the loudness of two dipoles would have it) with a free one for each pair, by leaving
 * blocks out, on every machine and settings where two targets share two neighbours or more.
 *
 * The additive q are the sums nearest to the free ones, weighed by how well the trials fix each; slopes stay those of the targets. Difference and verdict
 * as in `compareForms`. Half gaps shown elsewhere are always those of the free q, unpooled.
 *
 * @example
 * ```ts
 * import { compareAdditive, driftOfTrials, simulatedGarden } from "overiron";
 * const garden = simulatedGarden([{ name: "a", qCm2: 60 }, { name: "b", qCm2: 30 }], { seed: 1, blocks: 6 });
 * if (compareAdditive(driftOfTrials(garden)).length !== 0) throw new Error("one target alone has nothing to add up");
 * ```
 */
export function compareAdditive(drift: GardenDrift): readonly AdditiveComparison[] {
  const arms = new Map<string, Part[]>();
  for (const pairs of groupsOf(drift)) {
    const group = groupPoints(drift, pairs);
    const arm = JSON.stringify((JSON.parse(pairs[0]!.key) as unknown[]).slice(0, 3));
    const neighbours = group.fitted.map((i) => neighbourKey(pairs[i]!));
    if (neighbours.length > 0) arms.set(arm, [...(arms.get(arm) ?? []), { group, neighbours }]);
  }
  return [...arms].flatMap(([arm, parts]): AdditiveComparison[] => {
    const shared = [...new Set(parts.flatMap((part) => part.neighbours))].filter((name) =>
      parts.filter((part) => part.neighbours.includes(name)).length > 1
    );
    if (parts.length < 2 || shared.length < 2) return [];
    const [machine, settings] = JSON.parse(arm) as [string, string | null];
    return [{ machine, settings, ...compared(parts) }];
  });
}

interface PartFit {
  readonly fit: DragFit;
  readonly free: readonly number[];
  readonly additive: readonly number[];
}

/** Fits every target, then finds the sums nearest to the free q in the metric of their information. */
function fitBoth(parts: readonly Part[], left: string | null): readonly PartFit[] | null {
  const fits = parts.map(({ group }) => {
    const points = left === null
      ? group.points
      : group.points.filter((_, i) => group.rows[i]!.block !== left);
    return fitDragPoints(points, group.fitted.length, { covariance: false });
  });
  if (fits.some((fit) => !fit.converged)) return null;
  const neighbours = [...new Set(parts.flatMap((part) => part.neighbours))];
  const width = parts.length + neighbours.length;
  const normal = Matrix.zeros(width, width), right = Matrix.zeros(width, 1);
  const designs = fits.map((fit, t) => {
    const pairs = parts[t]!.neighbours.length;
    const sums = emptySums(fit.data);
    addSums(fit.data, fit.theta, sums, { weights: fit.weights, slopes: true });
    const full = pairs + 2, upTo = fit.data.depthVaries ? full : full - 1;
    const information = new Matrix(
      Array.from(
        { length: upTo },
        (_, a) =>
          Array.from({ length: upTo }, (_, b) => sums.normal[Math.min(a, b) * full + Math.max(a, b)]!),
      ),
    );
    const tail = Array.from({ length: upTo - pairs }, (_, k) => pairs + k),
      head = Array.from({ length: pairs }, (_, k) => k);
    const cross = information.selection(head, tail);
    const metric = information.selection(head, head).sub(
      cross.mmul(inverse(information.selection(tail, tail))).mmul(cross.transpose()),
    ).div(Math.max(sums.squares, 1e-9));
    const design = Matrix.zeros(pairs, width);
    parts[t]!.neighbours.forEach((name, j) => {
      design.set(j, t, 1);
      design.set(j, parts.length + neighbours.indexOf(name), 1);
    });
    normal.add(design.transpose().mmul(metric).mmul(design));
    right.add(design.transpose().mmul(metric).mmul(Matrix.columnVector([...fit.q])));
    return design;
  });
  const solution = pseudoInverse(normal).mmul(right);
  return fits.map((fit, t) => ({
    fit,
    free: fit.q,
    additive: designs[t]!.mmul(solution).getColumn(0),
  }));
}

function compared(parts: readonly Part[]): Omit<AdditiveComparison, "machine" | "settings"> {
  const blocks = [...new Set(parts.flatMap(({ group }) => group.rows.map((row) => row.block)))];
  const differences: number[] = [], used: string[] = [];
  let readings = 0;
  for (const block of blocks) {
    const fits = fitBoth(parts, block);
    if (fits === null) continue;
    const own = parts.flatMap(({ group }, t) =>
      group.points.flatMap((point, i) => {
        if (group.rows[i]!.block !== block) return [];
        const { fit, free, additive } = fits[t]!;
        if (!fit.free.includes(point.pair)) return [];
        const error = (q: number) => {
          const drag = dragAt((q - point.x2 / scaleAt(fit.f, point.z2)) / fit.s);
          return Math.abs(point.clean - drag * (point.clean - point.alone) - point.reading);
        };
        return [error(additive[point.pair]!) - error(free[point.pair]!)];
      })
    );
    if (own.length === 0) continue;
    readings += own.length;
    used.push(block);
    differences.push(mean(own));
  }
  const n: Counts = { readings, blocks: used.length };
  const found = clusterRobustMean(differences, used, { leastClusters: 4, clusterUnit: "blocks" });
  const difference: Estimate = isPresent(found)
    ? { ...found, n }
    : absent("too few blocks", `Leaving blocks out needs 4 blocks, got ${used.length}`, n);
  const whole = fitBoth(parts, null);
  const pairs = whole === null
    ? []
    : parts.flatMap(({ group }, t) =>
      group.fitted.map((i, j): AdditivePair => ({
        pair: group.pairs[i]!,
        freeQCm2: whole[t]!.free[j]!,
        additiveQCm2: whole[t]!.additive[j]!,
      }))
    );
  const verdict = !isPresent(difference)
    ? "cannot tell" as const
    : difference.interval.low > 0
    ? "additive is worse" as const
    : difference.interval.high < 0
    ? "additive is better" as const
    : "cannot tell" as const;
  return { pairs, difference, verdict, n };
}
