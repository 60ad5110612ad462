import { absent, clusterRobustMean, type Estimate, isPresent, mean, present } from "../numbers/mod.ts";
import type { DragCurve } from "./drag_curve.ts";
import { widerGaps } from "./_lay_next.ts";
import { fittedDrift } from "./fitted_drift.ts";
import { predictDrag } from "./predict_drag.ts";
import { readingTolerance } from "./reading_tolerance.ts";
import type { GardenDrift } from "./trial_drift.ts";

export interface ClearGapOptions {
  /** Drift that counts as none, in reading units, above 0. Default: `readingTolerance`. */
  readonly tolerance?: number;
}

const stepsPerCm = 100;

/**
 * Gives the clear gap of a pair in cm: the gap beyond which the 95 % interval of the fitted drift lies within the tolerance, and the trials
 * themselves do not say otherwise.
 *
 * The value is found to 0.01 cm between 0 and the widest gap laid, never beyond it. By its definition it is the upper end of its own
 * interval; the lower end is where the band's lower limit comes within the tolerance. Absent, "cannot tell yet": where the drift at the widest
 * gap laid is not surely that small; where the curve has no band; and where the mean drift of the trials laid beyond it (t over block means) lies
 * wholly outside the tolerance, so that the curve's form does not hold there. Absent too where the tolerance is unknown, 0.
 * Throws RangeError for a tolerance given that is not finite and above 0.
 *
 * @example
 * ```ts
 * import { clearGap, driftOfTrials, fitDragCurves } from "overiron";
 * const drift = driftOfTrials({ machines: [], settings: [], trials: [] });
 * if (fitDragCurves(drift).map((curve) => clearGap(drift, curve)).length !== 0) throw new Error("nothing was laid");
 * ```
 */
export function clearGap(drift: GardenDrift, curve: DragCurve, options: ClearGapOptions = {}): Estimate {
  const { tolerance = readingTolerance(drift, curve.pair) } = options;
  if (options.tolerance !== undefined && !(tolerance > 0 && tolerance < Infinity)) {
    throw new RangeError(`Cannot find clear gap: tolerance must be finite and above 0, got ${tolerance}`);
  }
  const cannotTell = (reason: string): Estimate => absent("cannot tell yet", reason, curve.n);
  if (tolerance === 0) {
    return cannotTell("Neither the display's step nor the scatter of the target alone is known");
  }
  const widest = Math.max(0, ...curve.gaps.map((each) => each.gap_cm));
  const end = fittedDrift(curve, widest);
  if (!isPresent(end)) return cannotTell(end.reason);
  const size = Math.abs(curve.apart!);
  const farthest = Math.max(Math.abs(end.interval.low), Math.abs(end.interval.high));
  if (farthest > tolerance) {
    const reason = `At the widest gap laid, ${widest} cm, the drift may still be ${
      farthest.toFixed(1)
    } reading units, and ${tolerance} would count as clear`;
    return cannotTell(`${reason}. ${widerGaps(curve.gaps)}`);
  }
  const gaps = [...Array.from({ length: Math.ceil(widest * stepsPerCm) }, (_, k) => k / stepsPerCm), widest];
  const bands = predictDrag(curve, gaps).map((at) => at.band!);
  const firstWithin = (limit: "low" | "high"): number => {
    let k = gaps.length - 1;
    while (k > 0 && bands[k - 1]![limit] * size <= tolerance) k--;
    return gaps[k]!;
  };
  const value = firstWithin("high");
  const beyond = meanBeyond(drift, curve, value);
  if (isPresent(beyond) && (beyond.interval.low > tolerance || beyond.interval.high < -tolerance)) {
    const { low, high } = beyond.interval;
    return cannotTell(
      `The curve calls ${value.toFixed(1)} cm clear, but the trials laid that wide or wider drift by ${
        beyond.value.toFixed(1)
      } (${low.toFixed(1)} to ${high.toFixed(1)}) reading units: the curve's form does not hold there. ${
        widerGaps(curve.gaps)
      }`,
    );
  }
  return present(value, {
    low: firstWithin("low"),
    high: value,
    level: 0.95,
    method: `band of the fitted curve, cluster-robust t, ${
      Number(curve.fit!.degreesOfFreedom.toFixed(1))
    } df, with the form's own error; the value is its upper end`,
  }, curve.n);
}

/** Mean drift of the trials at a gap or wider, by t over block means. */
function meanBeyond(drift: GardenDrift, curve: DragCurve, gap_cm: number): Estimate {
  const rows = drift.rows.filter((row) => row.pair === curve.pair.key && row.gap_cm >= gap_cm);
  const blocks = [...new Set(rows.map((row) => row.block))];
  const means = blocks.map((block) =>
    mean(rows.filter((row) => row.block === block).map((row) => row.drift))
  );
  return clusterRobustMean(means, blocks);
}
