import type { Passes, Trial } from "../log/mod.ts";
import {
  absent,
  clusterRobustMean,
  type Counts,
  type Estimate,
  isPresent,
  present,
  proportionInterval,
} from "../numbers/mod.ts";
import type { PassCount } from "./pass_curve.ts";

/** What a pass may do: read on or above a number, or give none. */
export type PassEvent = { readonly above: number } | "silent";

/** Passes of both directions that did it, of all; null where no cell holds single passes. */
export function countPasses(trial: Trial, event: PassEvent): { hits: number; passes: number } | null {
  const cells = [trial.right, trial.left].filter((cell): cell is Passes =>
    cell !== null && cell.kind === "passes"
  );
  let hits = 0, passes = 0;
  for (const { readings, silent } of cells) {
    passes += readings.length + silent;
    hits += event === "silent" ? silent : readings.filter((reading) => reading >= event.above).length;
  }
  return passes === 0 ? null : { hits, passes };
}

export function passCounts(trials: readonly Trial[], event: PassEvent): PassCount[] {
  return trials.flatMap((trial): PassCount[] => {
    const found = trial.gap_cm === null || trial.gap_cm < 0 ? null : countPasses(trial, event);
    return found === null
      ? []
      : [{ trial_id: trial.trial_id, block: trial.block, gap_cm: trial.gap_cm!, ...found }];
  });
}

/** The share of passes that did it in some trials laid alike: the mean over trials, its interval over blocks; a share of none or all has Wilson's, by trial. */
export function passShare(trials: readonly Trial[], event: PassEvent, what: string): Estimate {
  const counts = trials.flatMap((trial) => {
    const found = countPasses(trial, event);
    return found === null
      ? []
      : [{ block: trial.block, share: found.hits / found.passes, passes: found.passes }];
  });
  const n: Counts = {
    trials: counts.length,
    passes: counts.reduce((sum, each) => sum + each.passes, 0),
    blocks: new Set(counts.map((each) => each.block)).size,
  };
  if (counts.length === 0) return absent("not laid", `${what} has no trial with single passes`, n);
  const shares = counts.map((each) => each.share);
  const level = shares[0]!;
  if ((level === 0 || level === 1) && shares.every((share) => share === level)) {
    return present(level, proportionInterval(level * counts.length, counts.length), n);
  }
  const found = clusterRobustMean(shares, counts.map((each) => each.block), {
    leastClusters: 4,
    clusterUnit: "blocks",
  });
  if (!isPresent(found)) return absent("too few blocks", found.reason, n);
  const { low, high } = found.interval;
  return present(found.value, { ...found.interval, low: Math.max(0, low), high: Math.min(1, high) }, n);
}
