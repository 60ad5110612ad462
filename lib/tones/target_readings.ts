import type { Garden, Machine } from "../log/mod.ts";
import { hasValue, sweepCentre } from "../sweep/mod.ts";
import { armOf, armsOf } from "./_arms.ts";
import { gapClasses, gapClassOf, gapNotLogged } from "./gap_classes.ts";

/** The centre of one trial with a target, and whether a neighbour lay beside it. */
export interface TargetReading {
  readonly target: string;
  /** Gap class, or "clean" for a control without a neighbour. */
  readonly laid: string;
  /** Reading units. */
  readonly reading: number;
}

/** The target readings of one machine under one discrimination setting. */
export interface TargetReadings {
  readonly of: Readonly<Record<string, string>>;
  readonly machine: Machine;
  /** Names of the ways to lay, narrowest gap first, "clean" last; only those that occur. */
  readonly laid: readonly string[];
  readonly readings: readonly TargetReading[];
  /** Trials with a target of which no pass gave a number, by the way they were laid. */
  readonly silent: Readonly<Record<string, number>>;
}

/**
 * Gives the centre of every garden trial with a target, clean and beside a neighbour, by gap class: what a drawing of where
 * targets fall needs.
 *
 * Trials without logged readings are left out, silent ones are counted. `gapEdgesCm` as in `gapClasses`; default 2, 4, 8.
 *
 * Throws RangeError for gap edges that do not ascend or a machine that is not in the machines list.
 *
 * @example
 * ```ts
 * import { targetReadings } from "overiron";
 * if (targetReadings({ machines: [], settings: [], trials: [] }).length !== 0) throw new Error("no trials, nothing to draw");
 * ```
 */
export function targetReadings(
  garden: Garden,
  options: { readonly gapEdgesCm?: readonly number[] } = {},
): TargetReadings[] {
  const { gapEdgesCm = [2, 4, 8] } = options;
  const classes = gapClasses(gapEdgesCm);
  return armsOf(garden.machines, garden.trials).flatMap((arm): TargetReadings[] => {
    const silent: Record<string, number> = {};
    const readings = arm.rows.flatMap((trial): TargetReading[] => {
      if (trial.target === null) return [];
      const laid = trial.neighbour === null ? "clean" : gapClassOf(trial.gap_cm, classes);
      const centre = sweepCentre(trial, { machine: arm.machine });
      if (hasValue(centre)) return [{ target: trial.target, laid, reading: centre.value }];
      if (centre.absent === "silent") silent[laid] = (silent[laid] ?? 0) + 1;
      return [];
    });
    if (readings.length === 0) return [];
    const laid = [...classes.map(({ name }) => name), gapNotLogged, "clean"].filter((name) =>
      readings.some((one) => one.laid === name)
    );
    return [{ of: armOf(arm), machine: arm.machine, laid, readings, silent }];
  });
}
