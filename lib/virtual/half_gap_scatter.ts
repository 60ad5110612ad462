import { chance } from "../numbers/chance.ts";
import { fieldTables } from "./field_tables.ts";
import { pairTruth } from "./garden_truth.ts";
import type { TrialScene } from "./trial_scene.ts";
import { VIRTUAL_MACHINES, type VirtualMachine } from "./virtual_machine.ts";
import { VIRTUAL_OBJECTS, type VirtualObject } from "./virtual_object.ts";

type Range = readonly [low: number, high: number];

export interface HalfGapScatterOptions {
  /** Nails drawn. Default 60. */
  readonly nails?: number;
  /** Default 1. */
  readonly seed?: number;
  /** Default the first of `VIRTUAL_MACHINES`. */
  readonly machine?: VirtualMachine;
  /** Default the demo's copper disc. */
  readonly target?: VirtualObject;
  /** Default the demo's medium nail. */
  readonly nail?: VirtualObject;
  /** Default 8. */
  readonly depthCm?: number;
  /** Drawn evenly between these. Default 30 to 30. */
  readonly tiltDeg?: Range;
  /** 0 points at the target, 90 lies across the sweep. Default 90 to 90. */
  readonly headingDeg?: Range;
  /** Length and thickness are multiplied by this, drawn evenly. Default 1 to 1. */
  readonly size?: Range;
}

/** Half gaps (cm, ascending) of nails of one kind, and how many never had one or could not be told. */
export interface HalfGapScatter {
  readonly halfGapsCm: readonly number[];
  readonly never: number;
  /** Too alike in phase, or silent. */
  readonly other: number;
  readonly nails: number;
}

/**
 * Shows how widely half gaps of one kind of nail scatter when it lies and is made a little differently: simulated, without noise.
 *
 * Throws RangeError for a number of nails below 1, a range upside down, or objects that cannot be laid.
 *
 * @example
 * ```ts
 * import { halfGapScatter } from "overiron";
 * const same = halfGapScatter({ nails: 2 });
 * if (same.halfGapsCm[0] !== same.halfGapsCm[1]) throw new Error("two nails laid alike differ");
 * ```
 */
export function halfGapScatter(options: HalfGapScatterOptions = {}): HalfGapScatter {
  const {
    nails = 60,
    seed = 1,
    machine = VIRTUAL_MACHINES[0]!,
    target = VIRTUAL_OBJECTS.disc,
    nail = VIRTUAL_OBJECTS.mediumNail,
    depthCm = 8,
    tiltDeg = [30, 30],
    headingDeg = [90, 90],
    size = [1, 1],
  } = options;
  if (!Number.isSafeInteger(nails) || nails < 1) {
    throw new RangeError(
      `Cannot scatter half gaps: nails must be a whole number of 1 or above, got ${nails}`,
    );
  }
  for (const [name, [low, high]] of Object.entries({ tiltDeg, headingDeg, size })) {
    if (!(low <= high)) {
      throw new RangeError(`Cannot scatter half gaps: ${name} must rise, got ${low} to ${high}`);
    }
  }
  const tables = fieldTables(machine.coil), halfGapsCm: number[] = [];
  let never = 0, other = 0;
  for (let i = 0; i < nails; i++) {
    const draw = chance(seed, "virtual/scatter", i);
    const within = ([low, high]: Range): number => low + (high - low) * draw.next();
    const scale = within(size);
    const scene: TrialScene = {
      target,
      neighbour: { ...nail, lengthMm: nail.lengthMm * scale, thicknessMm: nail.thicknessMm * scale },
      side: "right",
      count: 1,
      gapCm: 0,
      depthCm,
      heightDifferenceCm: 0,
      tiltDeg: within(tiltDeg),
      headingDeg: within(headingDeg),
    };
    const { halfGap } = pairTruth(scene, machine, { tables });
    if (typeof halfGap === "number") halfGapsCm.push(halfGap);
    else if (halfGap === "never") never++;
    else other++;
  }
  return { halfGapsCm: halfGapsCm.sort((a, b) => a - b), never, other, nails };
}
