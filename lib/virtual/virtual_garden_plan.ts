import { chance } from "../numbers/chance.ts";
import { dayAfter } from "./_civil_date.ts";
import type { LogRow } from "./_log_row.ts";
import { VIRTUAL_OBJECTS, type VirtualObject } from "./virtual_object.ts";

export interface VirtualGardenPlanOptions {
  /** Seed of the run order. Default 1. */
  readonly seed?: number;
  /** Blocks on Machine A, each of 16 trials. Default 14. */
  readonly blocksA?: number;
  /** Blocks on Machine B, each of 11 trials. Default 6. */
  readonly blocksB?: number;
}

const NEAR_CM = [0.5, 1, 1.5, 2, 2.5, 3, 4];
const FAR_CM = [5, 6, 7, 8, 10, 12, 15];
const { disc, ball, buckle, foil, smallNail, mediumNail, largeNail } = VIRTUAL_OBJECTS;
const TILT_DEG = 30;

/** The fields of a virtual garden's row, in the order of a garden log. */
export const VIRTUAL_GARDEN_FIELDS: readonly string[] = [
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
  "readings_cross",
  "blind",
  "notes",
];

/** Two gaps a pair and block, near and far, in turn over the blocks. */
function pairsOf(block: number, machineB: boolean): [VirtualObject, VirtualObject, number][] {
  const near = (shift: number): number => NEAR_CM[(block * 3 + shift) % 7]!;
  const far = (shift: number): number => FAR_CM[(block * 2 + shift) % 7]!;
  return machineB
    ? [
      [buckle, mediumNail, near(0)],
      [buckle, mediumNail, far(0)],
      [buckle, largeNail, near(2)],
      [buckle, largeNail, far(3)],
      [disc, largeNail, near(4)],
      [disc, largeNail, far(5)],
      [disc, mediumNail, near(5)],
    ]
    : [
      [disc, smallNail, near(0)],
      [disc, smallNail, far(0)],
      [disc, mediumNail, near(1)],
      [disc, mediumNail, far(1)],
      [disc, largeNail, near(2)],
      [disc, largeNail, far(2)],
      [disc, foil, near(3)],
      [disc, foil, far(3)],
      [ball, mediumNail, near(4)],
      [ball, largeNail, far(4)],
    ];
}

/**
 * Gives the plan of the demo garden: rows of a garden log without readings, blocks in random order within, each with every target alone and every neighbour
 * alone.
 *
 * Throws RangeError unless the numbers of blocks are whole, 0 or above, and not both 0.
 *
 * @example
 * ```ts
 * import { virtualGardenPlan } from "overiron";
 * if (virtualGardenPlan({ blocksA: 2, blocksB: 1 }).length !== 2 * 16 + 11) throw new Error("wrong");
 * ```
 */
export function virtualGardenPlan(options: VirtualGardenPlanOptions = {}): readonly LogRow[] {
  const { seed = 1, blocksA = 14, blocksB = 6 } = options;
  for (const [name, value] of Object.entries({ blocksA, blocksB })) {
    if (!Number.isSafeInteger(value) || value < 0) {
      throw new RangeError(
        `Cannot plan a garden: ${name} must be a whole number of 0 or above, got ${value}`,
      );
    }
  }
  if (blocksA + blocksB === 0) {
    throw new RangeError("Cannot plan a garden: need a block, got blocksA 0 and blocksB 0");
  }
  const rows: LogRow[] = [];
  for (let block = 0; block < blocksA + blocksB; block++) {
    const draw = chance(seed, "virtual/plan", block);
    const machineB = block >= blocksA;
    const depth = [8, 8, 12, 8, 10][block % 5]!;
    const pairs = pairsOf(block, machineB);
    const trials: [VirtualObject | null, VirtualObject | null, number | null][] = [
      ...[...new Set(pairs.map(([target]) => target))].map((target) =>
        [target, null, null] as [VirtualObject, null, null]
      ),
      ...[...new Set(pairs.map(([, neighbour]) => neighbour))].map((neighbour) =>
        [null, neighbour, null] as [null, VirtualObject, null]
      ),
      ...pairs,
    ];
    draw.shuffle(trials).forEach(([target, neighbour, gap], order) => {
      const rod = neighbour?.shape === "rod";
      const side = neighbour === smallNail && draw.next() < 0.25
        ? "both"
        : draw.next() < 0.5
        ? "left"
        : "right";
      rows.push({
        trial_id: `T${String(rows.length + 1).padStart(3, "0")}`,
        block: `B${String(block + 1).padStart(2, "0")}`,
        run_order: String(order + 1),
        tried_at: dayAfter("2025-02-01", block * 2),
        settings: machineB ? "B-open" : "A-open",
        spot: `bed ${block % 3 + 1}`,
        medium: "fresh-hole",
        target: target ? target.what : "none",
        target_size_mm: target ? String(target.lengthMm) : "",
        depth_cm: String(depth),
        coil_height_cm: "2",
        neighbour: neighbour ? neighbour.what : "none",
        neighbour_kind: neighbour ? (rod ? "nail" : "foil") : "",
        neighbour_length_mm: neighbour ? String(neighbour.lengthMm) : "",
        neighbour_thickness_mm: neighbour ? String(neighbour.thicknessMm) : "",
        neighbour_count: neighbour ? (target && side === "both" ? "2" : "1") : "",
        side: target && neighbour ? side : "",
        neighbour_heading_deg: rod ? "90" : "",
        neighbour_tilt_deg: rod ? String(TILT_DEG) : "",
        gap_cm: gap === null ? "" : String(gap),
        height_difference_cm: gap === null ? "" : "0",
        blind: draw.next() < 0.25 ? "yes" : "no",
      });
    });
  }
  return rows;
}
