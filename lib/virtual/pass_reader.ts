import type { Chance } from "../numbers/chance.ts";
import { normalProbability } from "../numbers/mod.ts";
import { phaseLagDeg, size } from "./_complex.ts";
import type { FieldTables } from "./field_tables.ts";
import { highPass } from "./high_pass.ts";
import { afterQuarterTurn, type BuriedObject } from "./lay_object.ts";
import { phaseToReading } from "./phase_to_reading.ts";
import { nearestPeak, signalAt } from "./_peak.ts";
import { type SweepSignal, sweepSignal } from "./sweep_signal.ts";
import type { VirtualMachine } from "./virtual_machine.ts";

/** Passes wander beside the spot in steps of a whole number of these standard deviations, at most two. */
const WANDER_STEPS = 2;
const WANDER_WEIGHTS = Array.from({ length: 2 * WANDER_STEPS + 1 }, (_, i) => {
  const step = i - WANDER_STEPS;
  const low = step === -WANDER_STEPS ? 0 : normalProbability(step - 0.5);
  return (step === WANDER_STEPS ? 1 : normalProbability(step + 0.5)) - low;
});
/** Standard deviation of the coil's speed from pass to pass, as a share. */
const SPEED_SPREAD = 0.15;
/** A peak farther than this from the spot belongs to something else. */
const REACH_CM = 12;
const SWEEP = { fromCm: -60, toCm: 60, positions: 81 } as const;

export interface PassReaderOptions {
  /** As in `readSweep`. Default "peak". */
  readonly listen?: "peak" | "mark";
  /** Mineral ground lowers the phase lag by this. Stated, not derived. Default 0. */
  readonly groundLagDeg?: number;
  /** Tables of the machine's coil. Default: the field is worked out at each position. */
  readonly tables?: FieldTables;
}

/** A share of all passes whose phase is normal about a middle, `silent` of them giving no number. */
export interface PassPart {
  readonly weight: number;
  readonly silent: number;
  readonly lagDeg: number;
  readonly spreadDeg: number;
}

/** Reads passes over one spot, each with its own noise. */
export interface PassReader {
  /** The number shown, or null where nothing was heard, or iron was silenced. `turned`: after a quarter turn. */
  pass(draw: Chance, direction: 1 | -1, turned?: boolean): number | null;
  /** The same pass without noise, before it is put on the scale; over the middle of the spot. */
  quiet(direction: 1 | -1): { readonly phaseLagDeg: number; readonly loudness: number } | null;
  /** How a pass without a turn is spread: one part for each way of wandering beside the spot. */
  parts(direction: 1 | -1): readonly PassPart[];
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
  const places = new Map<number, number | null>();
  const placeOf = (step: number, turned: boolean, direction: 1 | -1): number | null => {
    if (listen === "mark") return 0;
    const key = step * 4 + (turned ? 2 : 0) + (direction === 1 ? 1 : 0);
    let place = places.get(key);
    if (place === undefined) {
      place = nearestPeak(sweep(step, turned), {
        direction,
        speedCmPerS: machine.speedCmPerS,
        targetXCm: 0,
        reachCm: REACH_CM,
        recoveryS: machine.recoveryS,
        threshold: machine.threshold,
      });
      places.set(key, place);
    }
    return place;
  };
  const lateCm = machine.speedCmPerS * machine.delayS;
  const quiet = (direction: 1 | -1, step = 0) => {
    const place = placeOf(step, false, direction);
    if (place === null) return null;
    const value = signalAt(sweep(step, false), place + direction * lateCm);
    const loudness = size(value);
    return loudness < machine.threshold || loudness === 0
      ? null
      : { phaseLagDeg: phaseLagDeg(value), loudness };
  };
  return {
    pass(draw, direction, turned = false) {
      const step = Math.min(WANDER_STEPS, Math.max(-WANDER_STEPS, Math.round(draw.normal())));
      const late = lateCm * (1 + SPEED_SPREAD * draw.normal());
      const noiseRe = machine.noise * draw.normal(), noiseIm = machine.noise * draw.normal();
      const flicker = machine.flickerDeg * draw.normal();
      const place = placeOf(step, turned, direction);
      if (place === null) return null;
      const value = signalAt(sweep(step, turned), place + direction * late);
      const heard = { re: value.re + noiseRe, im: value.im + noiseIm };
      if (!(size(heard) >= machine.threshold)) return null;
      const reading = phaseToReading(phaseLagDeg(heard) - groundLagDeg + flicker, scale);
      return machine.settings.discrimination === "iron-silenced" && reading < ironBreak ? null : reading;
    },
    quiet: (direction) => quiet(direction),
    loudness: () => Math.max(quiet(1)?.loudness ?? 0, quiet(-1)?.loudness ?? 0),
    parts: (direction) =>
      WANDER_WEIGHTS.map((weight, i) => {
        const step = i - WANDER_STEPS;
        const place = placeOf(step, false, direction);
        if (place === null) return { weight, silent: 1, lagDeg: 0, spreadDeg: 1 };
        const value = signalAt(sweep(step, false), place + direction * lateCm);
        const later = signalAt(sweep(step, false), place + direction * lateCm * (1 + SPEED_SPREAD));
        const loudness = size(value);
        if (loudness === 0) return { weight, silent: 1, lagDeg: 0, spreadDeg: 1 };
        const turn = ((phaseLagDeg(later) - phaseLagDeg(value) + 540) % 360) - 180;
        return {
          weight,
          silent: normalProbability((machine.threshold - loudness) / machine.noise),
          lagDeg: phaseLagDeg(value) - groundLagDeg,
          spreadDeg: Math.hypot(machine.noise / loudness * 180 / Math.PI, machine.flickerDeg, turn),
        };
      }),
  };
}
