import { closedFormDrag } from "./closed_form_drag.ts";
import type { FieldTables } from "./field_tables.ts";
import { highPass } from "./high_pass.ts";
import { type BuriedObject, layObject } from "./lay_object.ts";
import { phaseLagDeg } from "./object_response.ts";
import { passReader } from "./pass_reader.ts";
import { sweepSignal } from "./sweep_signal.ts";
import { centreDistanceCm, type TrialScene } from "./trial_scene.ts";
import type { VirtualMachine } from "./virtual_machine.ts";
import { reachCm, virtualResponse } from "./virtual_object.ts";

/** Small errors of laying, in cm and degrees; all 0 for the truth. */
export interface Placement {
  readonly gapCm: number;
  readonly depthCm: number;
  readonly tiltDeg: number;
}

const EXACT: Placement = { gapCm: 0, depthCm: 0, tiltDeg: 0 };

/**
 * Lays a trial's objects about the mark x = y = 0: the target first, then the neighbours.
 *
 * A neighbour alone is laid over the mark, one piece. Throws RangeError for objects that cannot be.
 *
 * @example
 * ```ts
 * import { layTrial, trialScene, VIRTUAL_MACHINES } from "overiron";
 * const laid = layTrial(trialScene({ target: "copper disc", neighbour: "small nail", gap_cm: "2" }), VIRTUAL_MACHINES[0]!);
 * if (laid.length !== 2 || !(laid[1]!.xCm > 3)) throw new Error("wrong");
 * ```
 */
export function layTrial(scene: TrialScene, machine: VirtualMachine, off: Placement = EXACT): BuriedObject[] {
  const laid: BuriedObject[] = [];
  const depthCm = Math.max(0, scene.depthCm + off.depthCm);
  if (scene.target) laid.push(layObject(virtualResponse(scene.target, machine.frequencyHz), { depthCm }));
  const { neighbour } = scene;
  if (neighbour === null) return laid;
  const response = virtualResponse(neighbour, machine.frequencyHz);
  const width = 2 * reachCm(neighbour, scene.headingDeg, scene.tiltDeg);
  const middle = scene.target ? Math.max(0, centreDistanceCm(scene) + off.gapCm) : 0;
  const sides = scene.target === null
    ? [1]
    : scene.side === "both"
    ? [-1, 1]
    : [scene.side === "left" ? -1 : 1];
  // A neighbour alone is read by itself, one piece, over the mark.
  const each = scene.target === null ? 1 : Math.max(1, Math.round(scene.count / sides.length));
  for (const side of sides) {
    for (let i = 0; i < each; i++) {
      laid.push(layObject(response, {
        shape: neighbour.shape === "rod" ? "rod" : "plate",
        xCm: middle === 0 && each === 1 ? 0 : side * (middle + i * width),
        depthCm: Math.max(0, depthCm - scene.heightDifferenceCm),
        headingDeg: scene.headingDeg,
        tiltDeg: scene.tiltDeg + off.tiltDeg,
      }));
    }
  }
  return laid;
}

/** What is so, for a pair as laid. `halfGap` is a number of cm or the reason why there is none. */
export interface PairTruth {
  readonly halfGap: number | "never" | "no gap" | "too alike" | "silent";
  readonly phaseDifferenceDeg: number | null;
  readonly loudnessRatioTouching: number | null;
}

export interface GardenTruthOptions {
  /** As in `readSweep`. Default "mark". */
  readonly listen?: "peak" | "mark";
  /** Tables of the machine's coil. Default: the field is worked out at each position. */
  readonly tables?: FieldTables;
}

/** The widest gap tried for a half gap. */
const WIDEST_GAP_CM = 30;

/** The reading without noise, both directions averaged, as a place on the scale of phase (0 to 180). */
function quietLag(
  objects: readonly BuriedObject[],
  machine: VirtualMachine,
  { listen = "mark", tables }: GardenTruthOptions,
): number | null {
  const reader = passReader(objects, machine, { listen, ...(tables ? { tables } : {}) });
  const heard = [reader.quiet(1), reader.quiet(-1)].filter((pass) => pass !== null);
  if (heard.length === 0) return null;
  const onScale = heard.map(({ phaseLagDeg: lag }) => {
    const turn = ((lag % 360) + 360) % 360;
    return turn <= 180 ? turn : turn < 270 ? 180 : 0;
  });
  return onScale.reduce((sum, lag) => sum + lag, 0) / onScale.length;
}

const onlyTarget = (scene: TrialScene): TrialScene => ({ ...scene, neighbour: null });
const onlyNeighbour = (scene: TrialScene): TrialScene => ({ ...scene, target: null });

/**
 * Gives the drag of a trial as the physics has it, without noise; null where a reading is silent or target and neighbour read alike (under 5
 * degrees apart).
 *
 * Throws RangeError for a scene that cannot be.
 *
 * @example
 * ```ts
 * import { trialScene, trueDrag, VIRTUAL_MACHINES } from "overiron";
 * const at = (gap: string) => trueDrag(trialScene({ target: "copper disc", neighbour: "large nail", neighbour_tilt_deg: "30", gap_cm: gap }), VIRTUAL_MACHINES[0]!)!;
 * if (!(at("1") > 0.5 && at("12") < 0.2)) throw new Error("wrong");
 * ```
 */
export function trueDrag(
  scene: TrialScene,
  machine: VirtualMachine,
  options: GardenTruthOptions = {},
): number | null {
  const clean = quietLag(layTrial(onlyTarget(scene), machine), machine, options);
  const alone = quietLag(layTrial(onlyNeighbour(scene), machine), machine, options);
  const together = quietLag(layTrial(scene, machine), machine, options);
  if (clean === null || alone === null || together === null || Math.abs(clean - alone) < 5) return null;
  return (clean - together) / (clean - alone);
}

/** The filtered signal of objects with the coil over the mark. */
function overMark(objects: readonly BuriedObject[], machine: VirtualMachine): { re: number; im: number } {
  const signal = highPass(
    sweepSignal(objects, machine.coil, {
      fromCm: -60,
      toCm: 60,
      positions: 81,
      coilHeightCm: machine.coilHeightCm,
    }),
    machine.smoothS * machine.speedCmPerS,
  );
  return { re: signal.re[40]!, im: signal.im[40]! };
}

/**
 * Gives the closed form's drag of a trial and what it stands on: how loud the neighbour is beside the target with the coil over the target, and
 * how far apart the two read alone. The drag is null where they are not between 0 and 180 degrees apart.
 *
 * Loudness is that of the filtered signals without a delay; phases are lags in degrees.
 *
 * @example
 * ```ts
 * import { closedFormOfTrial, trialScene, VIRTUAL_MACHINES } from "overiron";
 * const scene = trialScene({ target: "copper disc", neighbour: "small nail", neighbour_tilt_deg: "30" });
 * if (!(closedFormOfTrial(scene, VIRTUAL_MACHINES[0]!).loudnessRatio < 1)) throw new Error("the small nail is the fainter");
 * ```
 */
export function closedFormOfTrial(
  scene: TrialScene,
  machine: VirtualMachine,
): {
  readonly targetLagDeg: number;
  readonly neighbourLagDeg: number;
  /** True where the neighbour lies so far out that the filter's swing has turned its signal over: drags fall below 0 there. */
  readonly turnedOver: boolean;
  readonly loudnessRatio: number;
  readonly phaseDifferenceDeg: number;
  readonly drag: number | null;
} {
  const target = overMark(layTrial(onlyTarget(scene), machine), machine);
  const alone = overMark(layTrial(onlyNeighbour(scene), machine), machine);
  const beside = overMark(layTrial(scene, machine).slice(1), machine);
  const loudnessRatio = Math.hypot(beside.re, beside.im) / Math.hypot(target.re, target.im);
  const targetLagDeg = phaseLagDeg(target), neighbourLagDeg = phaseLagDeg(alone);
  const phaseDifferenceDeg = Math.abs(targetLagDeg - neighbourLagDeg);
  const fits = phaseDifferenceDeg > 0 && phaseDifferenceDeg < 180;
  return {
    targetLagDeg,
    neighbourLagDeg,
    turnedOver: alone.re * beside.re + alone.im * beside.im < 0,
    loudnessRatio,
    phaseDifferenceDeg,
    drag: fits ? closedFormDrag(loudnessRatio, phaseDifferenceDeg) : null,
  };
}

/**
 * Gives the half gap of a pair as laid, from the physics without noise: the largest gap at which the drag crosses one half, found to 0.001 cm between 0 and
 * 30 cm, or "never" where it is below one half at every gap.
 *
 * @example
 * ```ts
 * import { pairTruth, trialScene, VIRTUAL_MACHINES } from "overiron";
 * const scene = trialScene({ target: "copper disc", neighbour: "small nail", neighbour_tilt_deg: "30" });
 * if (pairTruth(scene, VIRTUAL_MACHINES[0]!).halfGap !== "never") throw new Error("wrong");
 * ```
 */
export function pairTruth(
  scene: TrialScene,
  machine: VirtualMachine,
  options: GardenTruthOptions = {},
): PairTruth {
  const nothing = { phaseDifferenceDeg: null, loudnessRatioTouching: null };
  if (!scene.target || !scene.neighbour) return { halfGap: "no gap", ...nothing };
  if (scene.side === "over" || scene.side === "under") return { halfGap: "no gap", ...nothing };
  const clean = quietLag(layTrial(onlyTarget(scene), machine), machine, options);
  const alone = quietLag(layTrial(onlyNeighbour(scene), machine), machine, options);
  if (clean === null || alone === null) return { halfGap: "silent", ...nothing };
  const touching = closedFormOfTrial({ ...scene, gapCm: 0 }, machine);
  const rest = {
    phaseDifferenceDeg: touching.phaseDifferenceDeg,
    loudnessRatioTouching: touching.loudnessRatio,
  };
  if (Math.abs(clean - alone) < 5) return { halfGap: "too alike", ...rest };
  const over = (gapCm: number): boolean => {
    const together = quietLag(layTrial({ ...scene, gapCm }, machine), machine, options);
    return together !== null && (clean - together) / (clean - alone) >= 0.5;
  };
  let low = WIDEST_GAP_CM;
  while (low >= 0 && !over(low)) low -= 0.5;
  if (low < 0) return { halfGap: "never", ...rest };
  let high = low + 0.5;
  while (high - low > 0.001) {
    const middle = (low + high) / 2;
    if (over(middle)) low = middle;
    else high = middle;
  }
  return { halfGap: (low + high) / 2, ...rest };
}
