import { absent, present } from "../numbers/mod.ts";
import type { Machine } from "./machines.ts";
import type { RepeatNoise } from "./report.ts";
import type { Passes, Season } from "./rows.ts";

export interface MeasureRepeatNoiseOptions {
  /** Repeats beyond the first in each cell, summed, from which a basis is good enough. Default 10. */
  readonly leastDegreesOfFreedom?: number;
}

/** A difference of two single repeats that is passed once in twenty times: ISO 5725-6:1994, 4.1 (from memory). */
const REPEATABILITY_FACTOR = 2.8;
const Z = 1.959963984540054;

/** Quantile of the chi-square distribution by Wilson and Hilferty (1931, PNAS 17:684), within 1 % from 10 on. */
const chiSquare = (df: number, z: number): number =>
  df * (1 - 2 / (9 * df) + z * Math.sqrt(2 / (9 * df))) ** 3;

/** Squares of repeats about the mean of their cell, summed. */
export class RepeatPool {
  squares = 0;
  df = 0;
  cells = 0;

  /** Takes in the readings from `start` to before `end` as one cell of single, exact passes. */
  add(readings: ArrayLike<number>, start: number, end: number): void {
    if (end - start < 2) return;
    let sum = 0;
    for (let i = start; i < end; i++) sum += readings[i]!;
    const mean = sum / (end - start);
    for (let i = start; i < end; i++) {
      const off = readings[i]! - mean;
      this.squares += off * off;
    }
    this.df += end - start - 1;
    this.cells++;
  }

  addPasses(cell: Passes | null): void {
    if (cell === null || cell.kind !== "passes" || cell.approximate) return;
    this.add(cell.readings, 0, cell.readings.length);
  }
}

/** What the repeat noise may be measured from, the best first. */
export const REPEAT_BASES = [
  "finds read alone and check pieces",
  "signals with no iron near",
  "all signals",
] as const;

/**
 * Measures how far repeats of each machine spread: the pooled standard deviation (n - 1 in each cell) of passes within
 * one cell and one direction, in reading units, and the limit above which two readings count as different.
 *
 * Taken from the first of these that gives enough repeats: finds read alone with the check pieces of outings; signals
 * with no iron near; all signals (too wide beside iron, so that fewer finds are called masked). Rough numbers and
 * summaries are left out. The limit is 2.8 times the spread (the repeatability limit of ISO 5725-6), at least one step
 * of the scale. It is made for single readings; medians, which are compared, vary less, so it errs to the careful side.
 * Where nothing suffices the spread is absent and the limit is one step.
 *
 * @example
 * ```ts
 * import { measureRepeatNoise } from "overiron";
 * const machine = {
 *   machine: "Machine A",
 *   scale: { low: 0, high: 600, step: 1 },
 *   iron_break: 150,
 *   tones: { name: "one", kind: "bands", breaks: [], bands: [{ name: "tone", pitch_hz: 440, loudness: 1 }] },
 * } as const;
 * const [noise] = measureRepeatNoise({ machines: [machine], signals: [] });
 * if (noise?.limit !== 1 || !("absent" in noise.spread)) throw new Error("wrong");
 * ```
 */
export function measureRepeatNoise(
  season: Pick<Season, "machines" | "outings"> & {
    readonly signals: readonly Pick<
      Season["signals"][number],
      "machine" | "finds" | "iron_near" | "right" | "left"
    >[];
  },
  options: MeasureRepeatNoiseOptions = {},
): readonly RepeatNoise[] {
  const { leastDegreesOfFreedom = 10 } = options;
  return season.machines.map((machine) => {
    const signals = season.signals.filter((signal) => signal.machine === machine.machine);
    return noiseOfMachine(machine, (basis) => {
      const pool = new RepeatPool();
      if (basis === 0) {
        for (const find of new Set(signals.flatMap((signal) => signal.finds))) {
          pool.addPasses(find.readings_alone);
        }
        for (const outing of season.outings ?? []) {
          if (outing.machine !== machine.machine) continue;
          pool.addPasses(outing.check_start);
          pool.addPasses(outing.check_end);
        }
      } else {
        for (const signal of signals) {
          if (basis === 1 && signal.iron_near !== "none") continue;
          pool.addPasses(signal.right);
          pool.addPasses(signal.left);
        }
      }
      return pool;
    }, leastDegreesOfFreedom);
  });
}

/** The repeat noise of one machine, given the pool of each of `REPEAT_BASES`. */
export function noiseOfMachine(
  { machine, scale }: Pick<Machine, "machine" | "scale">,
  poolOf: (basis: number) => RepeatPool,
  leastDegreesOfFreedom = 10,
): RepeatNoise {
  let last = new RepeatPool();
  for (const [i, basis] of REPEAT_BASES.entries()) {
    last = poolOf(i);
    const { squares, df } = last;
    if (df < Math.max(1, leastDegreesOfFreedom)) continue;
    const spread = Math.sqrt(squares / df);
    return {
      machine,
      spread: present(spread, {
        low: Math.sqrt(squares / chiSquare(df, Z)),
        high: Math.sqrt(squares / chiSquare(df, -Z)),
        level: 0.95,
        method: "chi-square, Wilson-Hilferty",
      }, { cells: last.cells, degreesOfFreedom: df }),
      limit: Math.max(REPEATABILITY_FACTOR * spread, scale.step),
      basis,
    };
  }
  return {
    machine,
    spread: absent("too few", `Fewer than ${leastDegreesOfFreedom} repeats beyond the first of each cell`, {
      cells: last.cells,
      degreesOfFreedom: last.df,
    }),
    limit: scale.step,
    basis: "one step of the scale: too few repeats to measure it",
  };
}
