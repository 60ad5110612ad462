import { runList } from "./_plan_run_list.ts";
import { sizeOf } from "./_plan_size.ts";

/** A target to lay. */
export interface PlannedTarget {
  readonly name: string;
  /** Diameter. */
  readonly sizeMm: number;
}

/** A neighbour to lay. */
export interface PlannedNeighbour {
  readonly name: string;
  readonly kind: string;
  readonly lengthMm: number;
  readonly thicknessMm: number;
  /** Half gap expected, in cm, below 0 for never: from an earlier fit. Default: the middle of the gaps. */
  readonly expectedHalfGapCm?: number;
  /** Gaps to lay of this one. Default: those of the plan. */
  readonly gapsCm?: readonly number[];
  /** 0 points at the target. Default 90: across the line between the two. */
  readonly headingDeg?: number;
  /** Default 0: flat. */
  readonly tiltDeg?: number;
}

export interface PlanGardenOptions {
  readonly targets: readonly PlannedTarget[];
  readonly neighbours: readonly PlannedNeighbour[];
  /** The settings name of the machine to be used, or the machine's. */
  readonly settings: string;
  /** Default 0, 1, 2, 3, 4, 5, 6, 8, 10, 12. */
  readonly gapsCm?: readonly number[];
  /** Hours there are. Default 4. */
  readonly hours?: number;
  /** Minutes for one trial, laying and ten passes. Default 2. */
  readonly minutesPerTrial?: number;
  /** Width that the 95 % interval of a half gap should come down to, in cm. Default 1.5. */
  readonly widthCm?: number;
  /** From the surface to the target's centre; 0 for objects on the surface under a spacer. Default 0. */
  readonly depthCm?: number;
  /** Spacer between ground and coil. Default 8. */
  readonly coilHeightCm?: number;
  /** Default 28. */
  readonly coilWidthCm?: number;
  /** Whether a helper lays and the one who reads does not see. Default false. */
  readonly blind?: boolean;
  /** Numbers of the first block and the first trial, to go on where a log ends. Default 1. */
  readonly firstBlock?: number;
  readonly firstTrial?: number;
  /** Default 1. */
  readonly seed?: number;
  /** Simulated gardens behind each width. Default 16. */
  readonly gardens?: number;
}

/** A row of the run list: fields of a garden log as text, no readings yet. */
export type PlannedTrial = Readonly<Record<string, string>>;

/** What a number of blocks would give, from simulated gardens. */
export interface PlannedSize {
  readonly blocks: number;
  readonly trials: number;
  readonly minutes: number;
  /** Median over gardens of the widest interval of a half gap, in cm; null where most gardens could not tell one of them yet. */
  readonly widthCm: number | null;
}

export interface PlannedSpot {
  readonly spot: string;
  readonly alongCm: number;
}

/** A garden to be laid: what to lay where, in which order, and what may be hoped for. */
export interface GardenPlan {
  readonly trials: readonly PlannedTrial[];
  readonly blocks: number;
  readonly trialsPerBlock: number;
  readonly minutes: number;
  readonly sizes: readonly PlannedSize[];
  /** What the chosen number of blocks gives. */
  readonly expected: PlannedSize;
  /** Why this number of blocks: the width is reached, or the time is up before. */
  readonly reason: string;
  readonly spots: readonly PlannedSpot[];
  readonly spacingCm: number;
  /** Objects on the ground at any time, to be counted back at the end. */
  readonly lift: readonly string[];
  readonly blind: boolean;
  readonly coilHeightCm: number;
  readonly depthCm: number;
}

/** The columns of a planned garden's log, in order. It loads as it is; what stands empty is filled in at the ground. */
export const PLAN_FIELDS: readonly string[] = [
  "trial_id",
  "block",
  "run_order",
  "tried_at",
  "settings",
  "spot",
  "medium",
  "target",
  "target_size_mm",
  "depth_cm",
  "coil_height_cm",
  "neighbour",
  "neighbour_kind",
  "neighbour_length_mm",
  "neighbour_thickness_mm",
  "neighbour_count",
  "side",
  "neighbour_heading_deg",
  "neighbour_tilt_deg",
  "gap_cm",
  "height_difference_cm",
  "readings_right",
  "readings_left",
  "blind",
  "notes",
];

const mostTrialsABlock = 16;
const blockChoices = [4, 5, 6, 8, 10, 12, 14, 16, 20, 24, 30];

function check(options: PlanGardenOptions): void {
  const fault = (words: string) => new RangeError(`Cannot plan a garden: ${words}`);
  const { targets, neighbours, gapsCm = [], hours = 4, minutesPerTrial = 2, widthCm = 1.5 } = options;
  if (targets.length === 0 || neighbours.length === 0) {
    throw fault(`need a target and a neighbour, got ${targets.length} and ${neighbours.length}`);
  }
  const names = [...targets, ...neighbours].map((each) => each.name);
  const twice = names.find((name, i) => names.indexOf(name) !== i);
  if (twice !== undefined) throw fault(`names must differ, got "${twice}" twice`);
  for (const [name, value] of Object.entries({ hours, minutesPerTrial, widthCm })) {
    if (!(value > 0 && value < Infinity)) throw fault(`${name} must be above 0, got ${value}`);
  }
  for (const gaps of [gapsCm, ...neighbours.map((each) => each.gapsCm ?? [])]) {
    const bad = gaps.find((gap) => !(gap >= 0 && gap < Infinity));
    if (bad !== undefined) throw fault(`gaps must be 0 or above, got ${bad}`);
    if (gaps.length > 0 && new Set(gaps).size < 4) {
      throw fault(`a curve needs 4 distinct gaps, got ${new Set(gaps).size}`);
    }
  }
  for (const { name, sizeMm } of targets) {
    if (!(sizeMm > 0)) throw fault(`size of "${name}" must be above 0, got ${sizeMm}`);
  }
  for (const { name, lengthMm, thicknessMm } of neighbours) {
    if (!(lengthMm > 0 && thicknessMm > 0)) {
      throw fault(`sizes of "${name}" must be above 0, got ${lengthMm} and ${thicknessMm}`);
    }
  }
}

/**
 * Makes the plan of a test garden: blocks with every target alone and every neighbour alone, gaps dealt out evenly to each pair, sides and order drawn by chance, as many blocks as
 * it takes until the half gaps' intervals are as narrow as wished, or as the time allows.
 *
 * Widths come from simulated gardens of the same shape (`simulatedGarden`): medians of the widest 95 % interval over the neighbours that are expected to have a half gap. They are a guide: real ground
 * scatters in its own way. Nails lie flat and across the sweep. Four blocks are the least. Throws RangeError for objects, gaps or times
 * that cannot be, and where not even four blocks fit into the time.
 *
 * @example
 * ```ts
 * import { planGarden } from "overiron";
 * const plan = planGarden({
 *   targets: [{ name: "copper disc", sizeMm: 24 }],
 *   neighbours: [{ name: "medium nail", kind: "nail", lengthMm: 80, thicknessMm: 5 }],
 *   settings: "A-open",
 *   hours: 3,
 *   gardens: 4,
 * });
 * if (plan.trials.length !== plan.blocks * plan.trialsPerBlock) throw new Error("wrong");
 * ```
 */
export function planGarden(options: PlanGardenOptions): GardenPlan {
  check(options);
  const {
    targets,
    neighbours,
    gapsCm = [0, 1, 2, 3, 4, 5, 6, 8, 10, 12],
    hours = 4,
    minutesPerTrial = 2,
    widthCm = 1.5,
    coilHeightCm = 8,
    depthCm = 0,
    coilWidthCm = 28,
    blind = false,
    seed = 1,
  } = options;
  const controls = targets.length + neighbours.length, pairs = targets.length * neighbours.length;
  const fewest = Math.min(...neighbours.map((each) => (each.gapsCm ?? gapsCm).length));
  const each = Math.max(1, Math.min(fewest, Math.floor((mostTrialsABlock - controls) / pairs)));
  const trialsPerBlock = controls + pairs * each;
  const most = Math.floor(hours * 60 / minutesPerTrial / trialsPerBlock);
  if (most < 4) {
    throw new RangeError(
      `Cannot plan a garden: four blocks of ${trialsPerBlock} trials take ${
        4 * trialsPerBlock * minutesPerTrial
      } minutes, got ${hours * 60}; take fewer objects or more time`,
    );
  }
  const sizes: PlannedSize[] = [];
  let reached = false;
  for (
    const blocks of [...blockChoices.filter((choice) => choice < most), Math.min(most, blockChoices.at(-1)!)]
  ) {
    const size = sizeOf(options, { blocks, each, trialsPerBlock, gapsCm });
    sizes.push(size);
    reached = size.widthCm !== null && size.widthCm <= widthCm;
    if (reached) break;
  }
  const expected = sizes.at(-1)!;
  const spacingCm = 2 * coilWidthCm;
  const spots = Array.from({ length: Math.min(4, expected.blocks) }, (_, i) => ({
    spot: `peg ${i + 1}`,
    alongCm: i * spacingCm,
  }));
  return {
    trials: runList(options, {
      blocks: expected.blocks,
      each,
      gapsCm,
      spots,
      coilHeightCm,
      depthCm,
      blind,
      seed,
    }),
    blocks: expected.blocks,
    trialsPerBlock,
    minutes: expected.minutes,
    sizes,
    expected,
    reason: reached
      ? `With ${expected.blocks} blocks the interval of a half gap should be ${widthCm} cm wide or less`
      : `More than ${expected.blocks} blocks do not fit into the time; the interval of a half gap should then be ${
        expected.widthCm === null ? "still open" : `about ${expected.widthCm.toFixed(1)} cm wide`
      }, ${widthCm} was wished`,
    spots,
    spacingCm,
    lift: [
      ...targets.map(({ name }) => name),
      ...neighbours.map(({ name }) => name),
      ...spots.map(({ spot }) => spot),
      "spacer",
    ],
    blind,
    coilHeightCm,
    depthCm,
  };
}
