import { absent, present } from "../numbers/mod.ts";
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

interface Pool {
  squares: number;
  df: number;
  cells: number;
}

function pool(cells: readonly (Passes | null)[]): Pool {
  const out: Pool = { squares: 0, df: 0, cells: 0 };
  for (const cell of cells) {
    if (cell === null || cell.kind !== "passes" || cell.approximate || cell.readings.length < 2) continue;
    const mean = cell.readings.reduce((sum, value) => sum + value, 0) / cell.readings.length;
    for (const value of cell.readings) out.squares += (value - mean) ** 2;
    out.df += cell.readings.length - 1;
    out.cells++;
  }
  return out;
}

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
  return season.machines.map(({ machine, scale }) => {
    const signals = season.signals.filter((signal) => signal.machine === machine);
    const outings = (season.outings ?? []).filter((outing) => outing.machine === machine);
    const bases: [string, () => (Passes | null)[]][] = [
      ["finds read alone and check pieces", () =>
        [
          ...new Set(signals.flatMap((signal) => signal.finds)),
        ].map((find) => find.readings_alone).concat(
          outings.flatMap((outing) => [outing.check_start, outing.check_end]),
        )],
      [
        "signals with no iron near",
        () =>
          signals.filter((signal) => signal.iron_near === "none").flatMap((
            signal,
          ) => [signal.right, signal.left]),
      ],
      ["all signals", () => signals.flatMap((signal) => [signal.right, signal.left])],
    ];
    let last: Pool = { squares: 0, df: 0, cells: 0 };
    for (const [basis, cells] of bases) {
      last = pool(cells());
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
  });
}
