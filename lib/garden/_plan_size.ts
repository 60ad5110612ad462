import { isPresent, quantile } from "../numbers/mod.ts";
import { driftOfTrials } from "./drift_of_trials.ts";
import { fitDragCurves } from "./fit_drag_curves.ts";
import type { PlanGardenOptions, PlannedSize } from "./plan_garden.ts";
import { SIMULATED_TOUCHING_CM, simulatedGarden } from "./simulated_garden.ts";

/** What a number of blocks would give, from gardens with one target. */
export function sizeOf(
  options: PlanGardenOptions,
  at: {
    readonly blocks: number;
    readonly each: number;
    readonly trialsPerBlock: number;
    readonly gapsCm: readonly number[];
  },
): PlannedSize {
  const { neighbours, targets, seed = 1, gardens = 16, minutesPerTrial = 2 } = options;
  const middle = [...at.gapsCm].sort((a, b) => a - b)[Math.floor(at.gapsCm.length / 2)]!;
  const laid = neighbours.map((each) => {
    const half = each.expectedHalfGapCm ?? middle;
    return {
      name: each.name,
      qCm2: half < 0 ? -20 : (half + SIMULATED_TOUCHING_CM) ** 2,
      has: half >= 0,
      ...(each.gapsCm ? { gapsCm: each.gapsCm } : {}),
    };
  });
  const widths = Array.from({ length: gardens }, (_, replicate) => {
    const garden = simulatedGarden(laid, {
      seed,
      replicate,
      blocks: at.blocks,
      trialsPerBlock: 1 + neighbours.length * (1 + at.each),
      gapsCm: at.gapsCm,
    });
    const curves = fitDragCurves(driftOfTrials(garden));
    return Math.max(
      0,
      ...laid.filter(({ has }) => has).map(({ name }) => {
        const half = curves.find((curve) => curve.pair.neighbour === name)?.halfGapCm;
        return half !== undefined && isPresent(half) ? half.interval.high - half.interval.low : Infinity;
      }),
    );
  });
  const found = widths.filter(Number.isFinite);
  const trials = at.blocks *
    (targets.length + neighbours.length + targets.length * neighbours.length * at.each);
  return {
    blocks: at.blocks,
    trials,
    minutes: trials * minutesPerTrial,
    widthCm: 2 * found.length <= gardens
      ? null
      : quantile([...found, ...widths.filter((each) => !Number.isFinite(each)).map(() => 1e9)], 0.5),
  };
}
