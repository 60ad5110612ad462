import {
  absent,
  clusterRobustMean,
  type Estimate,
  isPresent,
  mean,
  present,
  studentQuantile,
} from "../numbers/mod.ts";
import type { GardenDrift, LaidPair, TrialDrift } from "./trial_drift.ts";

/** What the trials of one pair at one gap say about drift, before any curve. */
export interface GapDrift {
  readonly pair: LaidPair;
  readonly gap_cm: number;
  /** Mean over blocks, in reading units: clean minus together. */
  readonly drift: Estimate;
  /** Smallest and largest drift of a trial and direction. */
  readonly lowest: number;
  readonly highest: number;
}

/**
 * Gives the mean drift of every pair of objects at every gap laid, with its interval over blocks, in order of pair and gap.
 *
 * The directions of a trial, then the trials of a block, are averaged first: the block is the unit. 95 % interval by Student's t over
 * block means (blocks minus 1 degrees of freedom), with at least the variance that rounding to the display adds (a twelfth of the step
 * squared); a single block gives no interval, so the mean is absent ("one block") and lowest and highest stand alone. Depths are taken together.
 *
 * @example
 * ```ts
 * import { driftByGap, driftOfTrials } from "overiron";
 * if (driftByGap(driftOfTrials({ machines: [], settings: [], trials: [] })).length !== 0) throw new Error("nothing was laid");
 * ```
 */
export function driftByGap(drift: GardenDrift): readonly GapDrift[] {
  return drift.pairs.flatMap((pair) => {
    const own = drift.rows.filter((row) => row.pair === pair.key);
    const gaps = [...new Set(own.map((row) => row.gap_cm))].sort((a, b) => a - b);
    return gaps.map((gap_cm): GapDrift => {
      const rows = own.filter((row) => row.gap_cm === gap_cm);
      const drifts = rows.map((row) => row.drift);
      return {
        pair,
        gap_cm,
        drift: meanOverBlocks(rows, pair.step ?? 0),
        lowest: Math.min(...drifts),
        highest: Math.max(...drifts),
      };
    });
  });
}

function meanOverBlocks(rows: readonly TrialDrift[], step: number): Estimate {
  const meanBy = (
    items: readonly TrialDrift[],
    key: "block" | "trial_id",
  ): readonly (readonly TrialDrift[])[] =>
    [...new Set(items.map((row) => row[key]))].map((value) => items.filter((row) => row[key] === value));
  const blocks = meanBy(rows, "block").map((block) =>
    mean(meanBy(block, "trial_id").map((trial) => mean(trial.map((row) => row.drift))))
  );
  const n = { trials: new Set(rows.map((row) => row.trial_id)).size, blocks: blocks.length };
  const found = clusterRobustMean(blocks, blocks.map((_, i) => i));
  if (!isPresent(found)) {
    return absent("one block", "One block cannot show how far blocks differ, so there is no interval", n);
  }
  const df = blocks.length - 1;
  const rounding = studentQuantile(0.975, df) * step / Math.sqrt(12 * blocks.length);
  const half = Math.max(found.interval.high - found.value, rounding);
  const interval = {
    low: found.value - half,
    high: found.value + half,
    level: 0.95,
    method: `t over block means, ${df} df`,
  };
  return present(found.value, interval, n);
}
