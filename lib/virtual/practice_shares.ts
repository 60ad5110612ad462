import { type Chance, chance } from "../numbers/chance.ts";
import { type Estimate, shareEstimate } from "../numbers/mod.ts";
import { closedFormOfTrial, trueDrag } from "./garden_truth.ts";
import { METALS } from "./metals.ts";
import type { TrialScene } from "./trial_scene.ts";
import { VIRTUAL_MACHINES, type VirtualMachine } from "./virtual_machine.ts";
import type { VirtualObject } from "./virtual_object.ts";

/**
 * What people of the trade say, with no source: one informal observation each, held to a wide band of drag. A check met by searching for the sizes that meet it
 * proves little.
 */
export const PRACTICE_BANDS = {
  /** A neighbour on each side of the target, 3 to 4 cm from edge to edge. */
  oneEachSide: { low: 0.5, high: 0.8 },
  /** A neighbour weaker than the target, at contact. */
  weakerTouching: { low: 0.1, high: 0.25 },
  /** A neighbour stronger than the target, at contact: "about 0.6". */
  strongerTouching: { low: 0.5, high: 0.7 },
} as const;

export interface PracticeSharesOptions {
  /** Random cases. Default 400. */
  readonly cases?: number;
  /** Default 1. */
  readonly seed?: number;
  /** Whose windings and filter. Its frequency is drawn anew. Default the first of `VIRTUAL_MACHINES`. */
  readonly machine?: VirtualMachine;
}

/** The shares of random plausible cases that meet each informal observation, and all three at once; Wilson intervals. */
export interface PracticeShares {
  readonly oneEachSide: Estimate;
  readonly weakerTouching: Estimate;
  readonly strongerTouching: Estimate;
  readonly all: Estimate;
}

const between = (draw: Chance, low: number, high: number): number => low + (high - low) * draw.next();

/**
 * Gives the shares of plausible sizes, depths and frequencies that meet what people say of masking (`PRACTICE_BANDS`).
 *
 * A case: a disc of 12 to 30 mm and 1 to 2 mm (copper, silver, bronze or brass), 4 to 14 cm deep, read at 4 to 20 kHz; a nail weaker than it and a stronger one,
 * 25 to 120 mm long and 2 to 7 mm thick, tilted up to 45 degrees, across the sweep; drags without noise, over the mark. The stronger nail is the one laid on each
 * side (3.5 cm). A case for which 40 draws give no weaker, or no stronger, nail counts only in the shares that do not need it.
 *
 * Throws RangeError unless cases is a whole number of 1 or above.
 *
 * @example
 * ```ts
 * import { practiceShares } from "overiron";
 * const { all } = practiceShares({ cases: 5 });
 * if (!("value" in all) && !all.reason) throw new Error("wrong");
 * ```
 */
export function practiceShares(options: PracticeSharesOptions = {}): PracticeShares {
  const { cases = 400, seed = 1, machine: base = VIRTUAL_MACHINES[0]! } = options;
  if (!Number.isSafeInteger(cases) || cases < 1) {
    throw new RangeError(`Cannot try cases: cases must be a whole number of 1 or above, got ${cases}`);
  }
  const counts = {
    oneEachSide: [0, 0],
    weakerTouching: [0, 0],
    strongerTouching: [0, 0],
    all: [0, 0],
  } as Record<
    keyof PracticeShares,
    [met: number, tried: number]
  >;
  for (let i = 0; i < cases; i++) {
    const draw = chance(seed, "virtual/practice", i);
    const machine: VirtualMachine = { ...base, frequencyHz: between(draw, 4000, 20000), threshold: 0 };
    const metal = [METALS.copper, METALS.silver, METALS.bronze, METALS.brass][draw.integer(4)]!;
    const target: VirtualObject = {
      what: "disc",
      shape: "disc",
      metal,
      lengthMm: between(draw, 12, 30),
      thicknessMm: between(draw, 1, 2),
    };
    const depthCm = between(draw, 4, 14);
    const scene = (): TrialScene => ({
      target,
      neighbour: {
        what: "nail",
        shape: "rod",
        metal: METALS.wroughtIron,
        lengthMm: between(draw, 25, 120),
        thicknessMm: between(draw, 2, 7),
      },
      side: "right",
      count: 1,
      gapCm: 0,
      depthCm,
      heightDifferenceCm: 0,
      headingDeg: 90,
      tiltDeg: between(draw, 0, 45),
    });
    let weaker: TrialScene | null = null, stronger: TrialScene | null = null;
    for (let tries = 0; tries < 40 && (weaker === null || stronger === null); tries++) {
      const tried = scene();
      if (closedFormOfTrial(tried, machine).loudnessRatio < 1) weaker ??= tried;
      else stronger ??= tried;
    }
    const meets = (name: keyof typeof PRACTICE_BANDS, laid: TrialScene | null): boolean | null => {
      const drag = laid === null ? null : trueDrag(laid, machine);
      if (drag === null) return null;
      const met = drag >= PRACTICE_BANDS[name].low && drag <= PRACTICE_BANDS[name].high;
      counts[name][0] += met ? 1 : 0;
      counts[name][1]++;
      return met;
    };
    const results = [
      meets("weakerTouching", weaker),
      meets("strongerTouching", stronger),
      meets("oneEachSide", stronger && { ...stronger, side: "both", count: 2, gapCm: 3.5 }),
    ];
    if (results.every((met) => met !== null)) {
      counts.all[0] += results.every((met) => met) ? 1 : 0;
      counts.all[1]++;
    }
  }
  const share = (name: keyof PracticeShares): Estimate =>
    shareEstimate(counts[name][0], counts[name][1], { unit: "cases" });
  return {
    oneEachSide: share("oneEachSide"),
    weakerTouching: share("weakerTouching"),
    strongerTouching: share("strongerTouching"),
    all: share("all"),
  };
}
