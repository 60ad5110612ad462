import {
  absent,
  bootstrapByCluster,
  type Counts,
  type Estimate,
  isPresent,
  present,
} from "../numbers/mod.ts";
import { blockRefits } from "./_block_refits.ts";
import { fitDragPoints } from "./_drag_fit.ts";
import { groupPoints, groupsOf } from "./_group_points.ts";
import type { GardenDrift, LaidPair } from "./trial_drift.ts";

export interface BootstrapHalfGapsOptions {
  /** Seed of the resamples. Default 1. */
  readonly seed?: number;
  /** Default 2000. */
  readonly replicates?: number;
  /** Fewest blocks. Default 30: with fewer, such intervals hold the truth too seldom. */
  readonly leastBlocks?: number;
}

/** What resampling whole blocks says of one pair. */
export interface BootstrappedHalfGap {
  readonly pair: LaidPair;
  readonly qCm2: Estimate;
  /** Absent too where the lower limit of q lies at or below the square of the touching distance. */
  readonly halfGapCm: Estimate;
}

/**
 * Gives BCa intervals of q and of the half gap from resampling whole blocks, for pairs laid in 30 blocks or more, beside those of `fitDragCurves`.
 *
 * Each resample is a fit of its own, with the readings alone as the controls gave them and the weights of the whole fit. Limits: `bootstrapByCluster`. Absent, with the
 * reason, for pairs with fewer blocks or no settled fit. Throws RangeError for options out of range.
 *
 * @example
 * ```ts
 * import { bootstrapHalfGaps, driftOfTrials, simulatedGarden } from "overiron";
 * const garden = simulatedGarden([{ name: "nail", qCm2: 40 }], { seed: 1, blocks: 5, trialsPerBlock: 12 });
 * const [only] = bootstrapHalfGaps(driftOfTrials(garden));
 * if (!only || !("absent" in only.qCm2) || only.qCm2.absent !== "too few blocks") throw new Error("wrong");
 * ```
 */
export function bootstrapHalfGaps(
  drift: GardenDrift,
  options: BootstrapHalfGapsOptions = {},
): readonly BootstrappedHalfGap[] {
  const { seed = 1, replicates = 2000, leastBlocks = 30 } = options;
  const found = groupsOf(drift).flatMap((pairs): BootstrappedHalfGap[] => {
    const group = groupPoints(drift, pairs);
    const blocksOf = pairs.map((_, i) => new Set(group.rowsOf[i]!.map((row) => row.block)).size);
    const refused = (word: string, reason: string, n: Counts) => ({
      qCm2: absent(word, reason, n),
      halfGapCm: absent(word, reason, n),
    });
    const wanted = group.fitted.some((i) => blocksOf[i]! >= leastBlocks);
    const fit = wanted ? fitDragPoints(group.points, group.fitted.length) : null;
    const refits = fit?.converged ? blockRefits(fit) : null;
    const blockIds = refits === null ? [] : Array.from({ length: refits.blocks }, (_, b) => b);
    return pairs.map((pair, i): BootstrappedHalfGap => {
      const n: Counts = { readings: group.rowsOf[i]!.length, blocks: blocksOf[i]! };
      if (blocksOf[i]! < leastBlocks) {
        return {
          pair,
          ...refused(
            "too few blocks",
            `A bootstrap needs ${leastBlocks} blocks, this pair has ${blocksOf[i]}`,
            n,
          ),
        };
      }
      const index = group.fitted.indexOf(i);
      if (index < 0 || refits === null || !fit!.free.includes(index)) {
        return { pair, ...refused("no fit", "No curve could be fitted", n) };
      }
      const q = bootstrapByCluster(blockIds, (drawn) => {
        const times = new Float64Array(blockIds.length);
        for (const block of drawn) times[block]!++;
        return refits.refit(times)?.[index] ?? NaN;
      }, {
        seed,
        name: "garden/half-gap",
        replicates,
        interval: "bca",
        clusterUnit: "blocks",
        leastClusters: leastBlocks,
      });
      const qCm2: Estimate = isPresent(q) ? present(q.value, q.interval, n) : absent(q.absent, q.reason, n);
      const touching = pair.touching_cm ?? 0, gapAt = (value: number) => Math.sqrt(value) - touching;
      const halfGapCm = !isPresent(qCm2)
        ? qCm2
        : qCm2.interval.low <= touching ** 2
        ? absent("cannot tell yet", "The interval of q reaches down to the touching distance", n)
        : present(gapAt(qCm2.value), {
          ...qCm2.interval,
          low: gapAt(qCm2.interval.low),
          high: gapAt(qCm2.interval.high),
        }, n);
      return { pair, qCm2, halfGapCm };
    });
  });
  return drift.pairs.map((pair) => found.find((each) => each.pair === pair)!);
}
