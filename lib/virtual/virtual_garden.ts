import { chance } from "../numbers/chance.ts";
import { type FieldTables, fieldTables } from "./field_tables.ts";
import { closedFormOfTrial, layTrial, pairTruth, trueDrag } from "./garden_truth.ts";
import { type LogRow, readingsCell } from "./_log_row.ts";
import { passReader } from "./pass_reader.ts";
import { trialScene } from "./trial_scene.ts";
import { VIRTUAL_MACHINES, type VirtualMachine } from "./virtual_machine.ts";

export interface VirtualGardenOptions {
  /** Seed of all noise. Default 1. */
  readonly seed?: number;
  /** Machines by their settings name. Default `VIRTUAL_MACHINES`. */
  readonly machines?: readonly VirtualMachine[];
  /** Passes in each direction. Default 5. */
  readonly passes?: number;
  /** Every n-th trial is also read across, with three passes. 0: none. Default 3. */
  readonly crossEvery?: number;
  /** How well things are laid: standard deviation of gap and depth; tilt has 10 degrees a centimetre of it. Default 0.15. */
  readonly placementCm?: number;
  /** How far a whole block reads off (heat, balance), standard deviation in degrees of phase. Default 0.5. */
  readonly blockDriftDeg?: number;
  /** As in `readSweep`. Default "mark": in a garden a string marks the spot. */
  readonly listen?: "peak" | "mark";
}

/** A garden log made of physics, and what is so. */
export interface VirtualGarden {
  /** Rows of a garden log, all cells as text; fields of the plan kept. */
  readonly rows: readonly LogRow[];
  /** A row a pair as laid: half_gap_cm, or why there is none (never, no gap, too alike, silent) in half_gap_is. */
  readonly truthPairs: readonly LogRow[];
  /** A row a trial with both objects: the drag without noise, and the closed form's. Empty cells where they do not exist. */
  readonly truthTrials: readonly LogRow[];
}

const PAIR_FIELDS = [
  "settings",
  "target",
  "target_size_mm",
  "neighbour",
  "neighbour_kind",
  "neighbour_length_mm",
  "neighbour_thickness_mm",
  "neighbour_count",
  "side",
  "neighbour_heading_deg",
  "neighbour_tilt_deg",
  "height_difference_cm",
  "depth_cm",
] as const;

const digits = (value: number): string => String(Number(value.toPrecision(9)));

/** What the simulation leaves out; to be shown wherever a simulated number is. */
export const VIRTUAL_LIMITS =
  "Textbook induction physics: one frequency, no ground, no coupling between objects that lie closer than a finger's breadth (drag there is uncertain by a tenth), " +
  "a scale that is linear in phase, no rust, and no particular machine.";

/**
 * Makes a garden log out of a plan: a row a planned trial, with readings in both directions as the machine's physics and noise give them, and the truth.
 *
 * `plan` holds rows of a garden log without readings; a control has "none" as target or neighbour. `settings` names the machine.
 *
 * Throws RangeError for an empty plan, an unknown settings name, objects that cannot be laid (`trialScene`), or options out of range.
 *
 * @example
 * ```ts
 * import { virtualGarden, virtualGardenPlan } from "overiron";
 * const garden = virtualGarden(virtualGardenPlan().slice(0, 16), { seed: 3 });
 * if (garden.rows.length !== 16 || !garden.rows[0]!.readings_right) throw new Error("wrong");
 * ```
 */
export function virtualGarden(plan: readonly LogRow[], options: VirtualGardenOptions = {}): VirtualGarden {
  const {
    seed = 1,
    machines = VIRTUAL_MACHINES,
    passes = 5,
    crossEvery = 3,
    placementCm = 0.15,
    blockDriftDeg = 0.5,
    listen = "mark",
  } = options;
  if (plan.length === 0) throw new RangeError("Cannot make a garden: the plan needs a trial, got none");
  for (const [name, value, least] of [["passes", passes, 1], ["crossEvery", crossEvery, 0]] as const) {
    if (!Number.isSafeInteger(value) || value < least) {
      throw new RangeError(
        `Cannot make a garden: ${name} must be a whole number of ${least} or above, got ${value}`,
      );
    }
  }
  for (const [name, value] of Object.entries({ placementCm, blockDriftDeg })) {
    if (!(value >= 0 && value < Infinity)) {
      throw new RangeError(`Cannot make a garden: ${name} must be 0 or above, got ${value}`);
    }
  }
  const tablesOf = new Map<VirtualMachine, FieldTables>();
  const rows: LogRow[] = [], truthTrials: LogRow[] = [];
  const pairs = new Map<string, LogRow>();
  const drifts = new Map<string, number>();
  plan.forEach((planned, index) => {
    const machine = machines.find(({ settings }) => settings.settings === planned.settings);
    if (!machine) {
      throw new RangeError(
        `Cannot make a garden: settings must be one of ${
          machines.map((m) => m.settings.settings).join(", ")
        }, got ${JSON.stringify(planned.settings ?? "")}`,
      );
    }
    if (!tablesOf.has(machine)) tablesOf.set(machine, fieldTables(machine.coil));
    const scene = trialScene(planned);
    const block = `${planned.settings}/${planned.block ?? planned.trial_id ?? index}`;
    if (!drifts.has(block)) {
      drifts.set(block, blockDriftDeg * chance(seed, "virtual/block", drifts.size).normal());
    }
    const draw = chance(seed, "virtual/trial", index);
    const off = {
      gapCm: placementCm * draw.normal(),
      depthCm: Math.round(placementCm * draw.normal() * 10) / 10, // whole millimetres, so that tables are shared
      tiltDeg: 10 * placementCm * draw.normal(),
    };
    const reader = passReader(layTrial(scene, machine, off), machine, {
      listen,
      groundLagDeg: drifts.get(block)!,
      tables: tablesOf.get(machine)!,
    });
    const cell = (count: number, direction: 1 | -1, turned = false): string =>
      readingsCell(Array.from({ length: count }, () => reader.pass(draw, direction, turned)));
    rows.push({
      ...planned,
      readings_right: cell(passes, 1),
      readings_left: cell(passes, -1),
      readings_cross: crossEvery > 0 && index % crossEvery === crossEvery - 1 ? cell(3, 1, true) : "",
    });
    if (!scene.target || !scene.neighbour) return;
    const drag = trueDrag(scene, machine, { listen }), closed = closedFormOfTrial(scene, machine);
    truthTrials.push({
      trial_id: planned.trial_id ?? "",
      drag: drag === null ? "" : digits(drag),
      loudness_ratio: digits(closed.loudnessRatio),
      phase_difference_deg: digits(closed.phaseDifferenceDeg),
      drag_closed_form: closed.drag === null ? "" : digits(closed.drag),
    });
    const laid = Object.fromEntries(PAIR_FIELDS.map((field) => [field, planned[field] ?? ""]));
    const key = JSON.stringify(laid);
    if (pairs.has(key)) return;
    const truth = pairTruth(scene, machine, { listen });
    pairs.set(key, {
      ...laid,
      half_gap_cm: typeof truth.halfGap === "number" ? digits(truth.halfGap) : "",
      half_gap_is: typeof truth.halfGap === "number" ? "value" : truth.halfGap,
      loudness_ratio_touching: truth.loudnessRatioTouching === null
        ? ""
        : digits(truth.loudnessRatioTouching),
      phase_difference_deg: truth.phaseDifferenceDeg === null ? "" : digits(truth.phaseDifferenceDeg),
    });
  });
  return { rows, truthPairs: [...pairs.values()], truthTrials };
}
