import type { Garden } from "../log/mod.ts";
import { type Counts, type Estimate, isPresent } from "../numbers/mod.ts";
import { fillBlanks, pairKey } from "./_as_laid.ts";
import { passCounts } from "./_pass_counts.ts";
import type { DragCurve } from "./drag_curve.ts";
import { fitDragCurves } from "./fit_drag_curves.ts";
import { fitPassCurve, type PassCount, type PassCurve } from "./pass_curve.ts";
import type { GardenDrift, LaidPair, TrialDrift } from "./trial_drift.ts";

/** What silence does to one pair: how often passes give no number, and what becomes of the half gap when silence counts as the neighbour. */
export interface SilentPasses {
  readonly pair: LaidPair;
  /** Share of silent passes against the gap, or why there is no curve. */
  readonly curve: PassCurve | string;
  readonly points: readonly PassCount[];
  /** Passes without a number, of all passes. */
  readonly silent: number;
  readonly passes: number;
  /** Readings of a trial and direction in which every pass was silent. */
  readonly silentReadings: number;
  /** The half gap from readings alone, and with those silent readings taken as drag 1. */
  readonly leftOut: Estimate;
  readonly asNeighbour: Estimate;
  /** Whether the second lies outside the interval of the first; "no silence" where nothing was silent. */
  readonly differ: "yes" | "no" | "cannot tell" | "no silence";
  readonly n: Counts;
}

/**
 * Gives the share of silent passes of every pair against the gap, and the half gap twice: with silent readings left out, and with each read as the neighbour alone
 * (drag 1), the worst that silence can mean for a target.
 *
 * The share is fitted as in `aboveBreak`. A direction counts as a silent reading where every pass of it was silent and the readings alone are known; a direction with some
 * numbers stands on those. The two half gaps differ where the second lies outside the first's 95 % interval or one of them is no number.
 *
 * @param garden The log that `drift` and `curves` were made from.
 *
 * @example
 * ```ts
 * import { driftOfTrials, fitDragCurves, silentPasses, simulatedGarden } from "overiron";
 * const garden = simulatedGarden([{ name: "nail", qCm2: 40 }], { seed: 1, blocks: 6 });
 * const drift = driftOfTrials(garden);
 * if (silentPasses(garden, { drift, curves: fitDragCurves(drift) })[0]!.differ !== "no silence") throw new Error("wrong");
 * ```
 */
export function silentPasses(
  garden: Garden,
  options: { readonly drift: GardenDrift; readonly curves: readonly DragCurve[] },
): readonly SilentPasses[] {
  const { drift, curves } = options;
  const rows = drift.silent.flatMap((each): TrialDrift[] =>
    each.controls === null ? [] : [{
      ...each,
      ...each.controls,
      reading: each.controls.neighbourReading,
      passes: 0,
      drift: each.controls.clean - each.controls.neighbourReading,
      drag: 1,
      noDrag: null,
    }]
  );
  const again = rows.length === 0 ? curves : fitDragCurves({ ...drift, rows: [...drift.rows, ...rows] });
  const trials = fillBlanks(garden.trials).filter((trial) =>
    trial.target !== null && trial.neighbour !== null && trial.side !== "over" && trial.side !== "under"
  );
  return curves.map((curve): SilentPasses => {
    const { pair } = curve;
    const points = passCounts(trials.filter((trial) => pairKey(trial) === pair.key), "silent");
    const sum = (of: "hits" | "passes") => points.reduce((total, each) => total + each[of], 0);
    const silentReadings = rows.filter((row) => row.pair === pair.key).length;
    const leftOut = curve.halfGapCm;
    const asNeighbour = silentReadings === 0
      ? leftOut
      : again.find((each) => each.pair.key === pair.key)!.halfGapCm;
    return {
      pair,
      curve: fitPassCurve(points),
      points,
      silent: sum("hits"),
      passes: sum("passes"),
      silentReadings,
      leftOut,
      asNeighbour,
      differ: silentReadings === 0 ? "no silence" : judge(leftOut, asNeighbour),
      n: { trials: points.length, blocks: new Set(points.map((each) => each.block)).size },
    };
  });
}

function judge(leftOut: Estimate, asNeighbour: Estimate): SilentPasses["differ"] {
  if (isPresent(leftOut) && isPresent(asNeighbour)) {
    const { low, high } = leftOut.interval;
    return asNeighbour.value < low || asNeighbour.value > high ? "yes" : "no";
  }
  const word = (each: Estimate) => isPresent(each) ? "half gap" : each.absent;
  if (word(leftOut) === "cannot tell yet" || word(asNeighbour) === "cannot tell yet") return "cannot tell";
  return word(leftOut) === word(asNeighbour) ? "no" : "yes";
}
