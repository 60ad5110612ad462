import type { Garden, Passes, Trial } from "../log/mod.ts";
import { chance } from "../numbers/mod.ts";
import {
  fieldTables,
  type LogRow,
  pairTruth,
  trialScene,
  VIRTUAL_MACHINES,
  virtualGarden,
} from "../virtual/mod.ts";

/** A pair of a physics garden with what is so: its half gap in cm, "never", or null where physics gives no answer. */
export interface PhysicsPair {
  readonly name: string;
  readonly halfGapCm: number | "never" | null;
}

const machine = VIRTUAL_MACHINES[0]!;
const quietMachine = { ...machine, noise: 0, flickerDeg: 0, wanderCm: 0 };
const tables = fieldTables(machine.coil);
const gapsCm = [0, 1, 2, 3, 4, 5, 6, 8, 10, 12];

function passes(cell: string): Passes {
  const words = cell.split(" "), readings = words.filter((word) => word !== "x").map(Number);
  const silent = words.length - readings.length;
  return { written: cell, kind: "passes", readings, silent, passes: words.length, approximate: false };
}

const numberOr = (text: string | undefined): number | null => text ? Number(text) : null;
const wordOr = (text: string | undefined): string | null => text && text !== "none" ? text : null;

/** A row of a virtual garden as the trial that the loader would make of it. */
function trialOf(row: LogRow): Trial {
  return {
    trial_id: row.trial_id!,
    block: row.block!,
    run_order: null,
    date: null,
    settings: machine.settings.settings,
    machine: machine.machine.machine,
    discrimination: "none",
    spot: null,
    medium: "fresh-hole",
    target: wordOr(row.target),
    target_tilt: null,
    target_size_mm: numberOr(row.target_size_mm),
    depth_cm: numberOr(row.depth_cm),
    coil_height_cm: numberOr(row.coil_height_cm),
    neighbour: wordOr(row.neighbour),
    neighbour_kind: row.neighbour_kind || null,
    neighbour_length_mm: numberOr(row.neighbour_length_mm),
    neighbour_thickness_mm: numberOr(row.neighbour_thickness_mm),
    neighbour_count: row.neighbour === "none" ? null : 1,
    side: row.side === "left" || row.side === "right" ? row.side : null,
    neighbour_heading_deg: numberOr(row.neighbour_heading_deg),
    neighbour_tilt_deg: numberOr(row.neighbour_tilt_deg),
    gap_cm: numberOr(row.gap_cm),
    height_difference_cm: numberOr(row.height_difference_cm),
    right: passes(row.readings_right!),
    left: passes(row.readings_left!),
    cross: null,
    tone_heard: null,
    blind: null,
    clean: null,
    neighbourAlone: null,
  };
}

/** A garden of one copper disc and two nails of chance sizes and tilts, read by the first virtual machine, with its truth. */
export function physicsGarden(
  options: {
    readonly seed: number;
    readonly replicate: number;
    readonly blocks: number;
    readonly trialsPerBlock: number;
    /** Everything laid and read without error: what is left is the form of the curve. Default false. */
    readonly noiseless?: boolean;
  },
): { readonly garden: Garden; readonly pairs: readonly PhysicsPair[] } {
  const { seed, replicate, blocks, trialsPerBlock, noiseless = false } = options;
  const draw = chance(seed, "garden/physics", replicate);
  const within = (low: number, high: number, digits: number) =>
    (low + (high - low) * draw.next()).toFixed(digits);
  const nail = (name: string, length: readonly [number, number], tilt: readonly [number, number]) => ({
    neighbour: name,
    neighbour_kind: "nail",
    neighbour_length_mm: within(...length, 0),
    neighbour_thickness_mm: within(length[0] / 14, length[1] / 16, 1),
    neighbour_heading_deg: "90",
    neighbour_tilt_deg: within(...tilt, 0),
  });
  const nails = [nail("strong", [80, 120], [15, 35]), nail("weak", [30, 70], [0, 25])];
  const disc = { target: "copper disc", target_size_mm: "24" };
  const rows: LogRow[] = [], decks = nails.map(() => [] as number[]);
  for (let b = 0; b < blocks; b++) {
    const add = (row: LogRow) =>
      rows.push({
        trial_id: `T${rows.length + 1}`,
        block: `B${b + 1}`,
        settings: machine.settings.settings,
        depth_cm: "8",
        coil_height_cm: "2",
        ...row,
      });
    add({ ...disc, neighbour: "none" });
    for (const each of nails) add({ target: "none", ...each });
    for (let k = 0; k < trialsPerBlock - 3; k++) {
      const index = (k + b * (trialsPerBlock - 3)) % 2, deck = decks[index]!;
      if (deck.length === 0) deck.push(...draw.shuffle(gapsCm));
      const side = draw.integer(2) === 0 ? "left" : "right";
      add({ ...disc, ...nails[index]!, gap_cm: String(deck.pop()!), side, height_difference_cm: "0" });
    }
  }
  const made = virtualGarden(rows, {
    seed: seed * 100_003 + replicate,
    crossEvery: 0,
    passes: 4,
    ...(noiseless ? { machines: [quietMachine], placementCm: 0, blockDriftDeg: 0 } : {}),
  });
  return {
    garden: { machines: [machine.machine], settings: [machine.settings], trials: made.rows.map(trialOf) },
    pairs: nails.map((each): PhysicsPair => {
      const scene = trialScene({ trial_id: "truth", ...disc, ...each, depth_cm: "8", gap_cm: "1" });
      const { halfGap } = pairTruth(scene, machine, { tables });
      return {
        name: each.neighbour,
        halfGapCm: typeof halfGap === "number" || halfGap === "never" ? halfGap : null,
      };
    }),
  };
}
