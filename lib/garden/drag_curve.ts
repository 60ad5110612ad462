import type { Counts, Estimate } from "../numbers/mod.ts";
import type { LaidPair } from "./trial_drift.ts";

/** The drags of one pair at one gap: what the data say before any curve. */
export interface GapDrags {
  readonly gap_cm: number;
  /** Median over trials and directions. */
  readonly medianDrag: number;
  readonly trials: number;
}

/** What a fitted curve is made of; q and s in cm2. */
export interface DragCurveFit {
  readonly qCm2: number;
  readonly sCm2: number;
  /** Covariance of q and log s, robust to what a block shares; null under four blocks or where q has no finite standard error. */
  readonly covariance: readonly [readonly [number, number], readonly [number, number]] | null;
  readonly degreesOfFreedom: number;
  readonly residualSd: number;
  /** Relative change of q and s for each cm2 of depth squared beyond the reference depth; 0 where depth does not vary. */
  readonly depthFactorPerCm2: number;
}

/** The curve of drag against gap of one pair of objects as laid, and what can be said from it. */
export interface DragCurve {
  readonly pair: LaidPair;
  /** The depth for which q, s and the half gap hold: the group's most frequent. Null where no depth is logged. */
  readonly depth_cm: number | null;
  /** Whether several depths were laid, so that q and s are scaled with depth. */
  readonly depthVaries: boolean;
  /** "centres" where sizes are logged, else "gap": the gap alone. */
  readonly distance: "centres" | "gap";
  /** Distance between centres when edges touch, in cm; 0 where the gap alone is used. */
  readonly touching_cm: number;
  /** Median of clean minus neighbour's reading: turns drag into drift. Null without a drag. */
  readonly apart: number | null;
  readonly gaps: readonly GapDrags[];
  readonly fit: DragCurveFit | null;
  readonly qCm2: Estimate;
  /** The gap at which the fitted drag is one half, or "never", or "cannot tell yet". */
  readonly halfGapCm: Estimate;
  /** What to lay next, in a sentence. Null where the half gap is known. */
  readonly layNext: string | null;
  /** Trials and blocks with a usable drag, trials on weaker evidence, silent directions. */
  readonly n: Counts;
}
