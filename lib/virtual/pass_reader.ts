import type { Chance } from "../numbers/chance.ts";
import type { FieldTables } from "./field_tables.ts";
import { highPass } from "./high_pass.ts";
import { afterQuarterTurn, type BuriedObject } from "./lay_object.ts";
import { phaseToReading } from "./phase_to_reading.ts";
import { readSweep } from "./read_sweep.ts";
import { type SweepSignal, sweepSignal } from "./sweep_signal.ts";
import type { VirtualMachine } from "./virtual_machine.ts";

/** Passes wander beside the spot in steps of a whole number of these standard deviations, at most two. */
const WANDER_STEPS = 2;
const SWEEP = { fromCm: -60, toCm: 60, positions: 81 } as const;

export interface PassReaderOptions {
  /** As in `readSweep`. Default "peak". */
  readonly listen?: "peak" | "mark";
  /** Mineral ground lowers the phase lag by this. Stated, not derived. Default 0. */
  readonly groundLagDeg?: number;
  /** Tables of the machine's coil. Default: the field is worked out at each position. */
  readonly tables?: FieldTables;
}

/** Reads passes over one spot, each with its own noise. */
export interface PassReader {
  /** The number shown, or null where nothing was heard, or iron was silenced. `turned`: after a quarter turn. */
  pass(draw: Chance, direction: 1 | -1, turned?: boolean): number | null;
  /** The same pass without noise, before it is put on the scale; over the middle of the spot. */
  quiet(direction: 1 | -1): { readonly phaseLagDeg: number; readonly loudness: number } | null;
  /** How loud the spot was without noise, the better direction; 0 where silent. */
  loudness(): number;
}

/**
 * Makes a reader of passes over buried objects. The spot is x = y = 0.
 *
 * Noise: the pass goes beside the spot by a whole number of the machine's `wanderCm` (normal, rounded, at most two), the reading has the
 * machine's noise in both parts and its flicker in phase, and the coil's speed varies by 15 % for the delay.
 *
 * Throws RangeError for objects and options that cannot be.
 *
 * @example
 * ```ts
 * import { chance, layObject, passReader, VIRTUAL_MACHINES, VIRTUAL_OBJECTS, virtualResponse } from "overiron";
 * const machine = VIRTUAL_MACHINES[0]!;
 * const coin = layObject(virtualResponse(VIRTUAL_OBJECTS.disc, machine.frequencyHz), { depthCm: 8 });
 * const reading = passReader([coin], machine).pass(chance(1, "example"), 1);
 * if (reading === null || Math.abs(reading - 570) > 15) throw new Error(`unlikely: ${reading}`);
 * ```
 */
export function passReader(
  objects: readonly BuriedObject[],
  machine: VirtualMachine,
  options: PassReaderOptions = {},
): PassReader {
  const { listen = "peak", groundLagDeg = 0, tables } = options;
  const turnedObjects = objects.map(afterQuarterTurn);
  const made = new Map<number, SweepSignal>();
  const { scale, iron_break: ironBreak } = machine.machine;
  const sweep = (step: number, turned: boolean): SweepSignal => {
    const key = step * 2 + (turned ? 1 : 0);
    let signal = made.get(key);
    if (signal === undefined) {
      signal = highPass(
        sweepSignal(turned ? turnedObjects : objects, machine.coil, {
          ...SWEEP,
          coilHeightCm: machine.coilHeightCm,
          offsetCm: step * machine.wanderCm,
          ...(tables ? { tables } : {}),
        }),
        machine.smoothS * machine.speedCmPerS,
      );
      made.set(key, signal);
    }
    return signal;
  };
  const rules = { listen, recoveryS: machine.recoveryS, threshold: machine.threshold };
  const quiet = (direction: 1 | -1) =>
    readSweep(sweep(0, false), {
      ...rules,
      direction,
      speedCmPerS: machine.speedCmPerS,
      delayS: machine.delayS,
    });
  return {
    pass(draw, direction, turned = false) {
      const step = Math.min(WANDER_STEPS, Math.max(-WANDER_STEPS, Math.round(draw.normal())));
      const heard = readSweep(sweep(step, turned), {
        ...rules,
        direction,
        speedCmPerS: machine.speedCmPerS * Math.exp(0.15 * draw.normal()),
        delayS: machine.delayS,
        noise: { size: machine.noise, draw },
      });
      if (heard === null) return null;
      const reading = phaseToReading(
        heard.phaseLagDeg - groundLagDeg + machine.flickerDeg * draw.normal(),
        scale,
      );
      return machine.settings.discrimination === "iron-silenced" && reading < ironBreak ? null : reading;
    },
    quiet,
    loudness: () => Math.max(quiet(1)?.loudness ?? 0, quiet(-1)?.loudness ?? 0),
  };
}
