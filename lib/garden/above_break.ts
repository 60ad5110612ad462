import type { Garden, Trial } from "../log/mod.ts";
import { absent, clusterRobustMean, type Counts, type Estimate, isPresent, mean } from "../numbers/mod.ts";
import { armKey, fillBlanks, pairKey } from "./_as_laid.ts";
import { passCounts, passShare } from "./_pass_counts.ts";
import { fitPassCurve, type PassCount, type PassCurve } from "./pass_curve.ts";
import type { GardenDrift, LaidPair } from "./trial_drift.ts";

/** The reading together less that of the bare neighbour, at one gap: the difference that the display shows. */
export interface StepOverNeighbour {
  readonly gap_cm: number;
  /** Mean over blocks, in reading units. */
  readonly step: Estimate;
}

/** How often passes over one pair read above the iron break, beside how often its neighbour alone does. */
export interface AboveBreak {
  readonly pair: LaidPair;
  /** Readings on or above it are not iron. */
  readonly ironBreak: number;
  /** The curve against the gap, or why there is none. */
  readonly curve: PassCurve | string;
  readonly points: readonly PassCount[];
  /** Over all gaps laid, the mean over trials; and the same for the two objects alone. */
  readonly together: Estimate;
  readonly neighbourAlone: Estimate;
  readonly targetAlone: Estimate;
  readonly steps: readonly StepOverNeighbour[];
  readonly n: Counts;
}

/** Trials of one object alone as the pair lay it: same machine, settings, coil height and medium; a neighbour also heading and tilt. */
function aloneTrials(trials: readonly Trial[], of: Trial, which: "target" | "neighbour"): readonly Trial[] {
  return trials.filter((each) =>
    armKey(each) === armKey(of) && each.coil_height_cm === of.coil_height_cm && each.medium === of.medium &&
    (which === "target"
      ? each.neighbour === null && each.target === of.target && each.target_tilt === of.target_tilt
      : each.target === null && each.neighbour === of.neighbour &&
        each.neighbour_heading_deg === of.neighbour_heading_deg &&
        each.neighbour_tilt_deg === of.neighbour_tilt_deg)
  );
}

function stepsOf(drift: GardenDrift, pair: LaidPair): readonly StepOverNeighbour[] {
  const rows = drift.rows.filter((row) => row.pair === pair.key && row.neighbourReading !== null);
  const gaps = [...new Set(rows.map((row) => row.gap_cm))].sort((a, b) => a - b);
  return gaps.map((gap_cm) => {
    const own = rows.filter((row) => row.gap_cm === gap_cm);
    const blocks = [...new Set(own.map((row) => row.block))];
    const means = blocks.map((block) =>
      mean(own.filter((row) => row.block === block).map((row) => row.reading - row.neighbourReading!))
    );
    const n: Counts = { trials: new Set(own.map((row) => row.trial_id)).size, blocks: blocks.length };
    const found = clusterRobustMean(means, blocks);
    const step: Estimate = isPresent(found)
      ? { ...found, n }
      : absent("one block", "One block cannot show how far blocks differ, so there is no interval", n);
    return { gap_cm, step };
  });
}

/**
 * Gives, for every pair as laid, the chance that a pass reads on or above the machine's iron break, as a curve against the gap, beside the same for the neighbour
 * alone and the target alone, and the step that the display shows over the bare neighbour.
 *
 * The trial is the unit: its share of passes (both directions; a silent pass reads above nothing) is the outcome of a logistic regression with Firth's
 * penalty, so that the curve stays finite where all passes of one side are alike, with cluster-robust errors over blocks. Bent nails, sheet, rings and caps often read above the
 * break by themselves: a share together means little without the share alone. Cells that hold a summary instead of passes are not counted.
 *
 * @param garden The log that `drift` was made from.
 * @returns One entry a pair, in the order of `drift.pairs`; pairs of a machine that is not described are left out.
 *
 * @example
 * ```ts
 * import { aboveBreak, driftOfTrials, simulatedGarden } from "overiron";
 * const garden = simulatedGarden([{ name: "nail", qCm2: 90 }], { seed: 1, blocks: 6 });
 * const [only] = aboveBreak(garden, driftOfTrials(garden));
 * if (typeof only!.curve === "string" || !(only!.curve.perCm > 0)) throw new Error("wrong");
 * ```
 */
export function aboveBreak(garden: Garden, drift: GardenDrift): readonly AboveBreak[] {
  const trials = fillBlanks(garden.trials);
  return drift.pairs.flatMap((pair): AboveBreak[] => {
    const ironBreak = garden.machines.find((each) => each.machine === pair.machine)?.iron_break;
    if (ironBreak === undefined) return [];
    const own = trials.filter((trial) =>
      trial.target !== null && trial.neighbour !== null && pairKey(trial) === pair.key
    );
    const laid = own.filter((trial) => trial.side !== "over" && trial.side !== "under");
    const points = passCounts(laid, { above: ironBreak });
    const first = own[0]!;
    return [{
      pair,
      ironBreak,
      curve: fitPassCurve(points),
      points,
      together: passShare(laid, { above: ironBreak }, "The pair"),
      neighbourAlone: passShare(
        aloneTrials(trials, first, "neighbour"),
        { above: ironBreak },
        "The neighbour",
      ),
      targetAlone: passShare(aloneTrials(trials, first, "target"), { above: ironBreak }, "The target"),
      steps: stepsOf(drift, pair),
      n: {
        trials: points.length,
        passes: points.reduce((sum, each) => sum + each.passes, 0),
        blocks: new Set(points.map((each) => each.block)).size,
      },
    }];
  });
}
