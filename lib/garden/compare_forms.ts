import { absent, clusterRobustMean, type Counts, type Estimate, isPresent, mean } from "../numbers/mod.ts";
import { groupPoints, groupsOf } from "./_group_points.ts";
import { type DragForm, fitForms, type FormPoint } from "./_rival_forms.ts";
import type { GardenDrift } from "./trial_drift.ts";

export type { DragForm } from "./_rival_forms.ts";

/** How well a form foretells blocks that it was not fitted to. */
export interface FormScore {
  readonly form: DragForm;
  /** Mean distance of the foretold from the readings, in reading units: the mean over blocks. */
  readonly error: Estimate;
  /** Error less that of the curve in use, block by block, with the interval of the paired difference. */
  readonly difference: Estimate;
  readonly verdict: "the curve in use" | "worse" | "better" | "cannot tell";
}

/** The forms compared on the trials of one target. */
export interface FormComparison {
  readonly machine: string;
  readonly target: string;
  readonly settings: string | null;
  readonly scores: readonly FormScore[];
  readonly n: Counts;
}

/**
 * Compares the curve in use with its rivals, a target at a time, by leaving whole blocks out: every form is fitted to the other blocks and foretells the
 * readings of the block left out from that block's own controls.
 *
 * Rivals: a slope of its own for each pair; the gap alone instead of the distance between centres; logistic in the gap; an exponential and a Gaussian whose start
 * is free; drags that only may not rise, without any form. Rows count alike in the rivals without a slope; where several depths
 * were laid, those take the curve's own growth with depth. The difference from the curve in use is taken
 * block by block; its 95 % interval is t over blocks, and "cannot tell" stands where that interval holds 0. Absent under four blocks. Readings that a form says
 * nothing of (a pair that no other block holds) are left out for all forms.
 *
 * @example
 * ```ts
 * import { compareForms, driftOfTrials, simulatedGarden } from "overiron";
 * const drift = driftOfTrials(simulatedGarden([{ name: "nail", qCm2: 40 }], { seed: 1, blocks: 6 }));
 * const [only] = compareForms(drift);
 * if (only!.scores[0]!.verdict !== "the curve in use" || only!.scores.length !== 7) throw new Error("wrong");
 * ```
 */
export function compareForms(drift: GardenDrift): readonly FormComparison[] {
  return groupsOf(drift).flatMap((pairs): FormComparison[] => {
    const group = groupPoints(drift, pairs);
    if (group.fitted.length === 0) return [];
    const points = group.points.map((point, i): FormPoint => ({ ...point, gap: group.rows[i]!.gap_cm }));
    const [, settings] = JSON.parse(pairs[0]!.group) as [string, string | null];
    return [{
      machine: pairs[0]!.machine,
      target: pairs[0]!.target,
      settings,
      ...scored(points, group.fitted.length),
    }];
  });
}

function scored(points: readonly FormPoint[], pairs: number): Pick<FormComparison, "scores" | "n"> {
  const names = Object.keys(fitForms) as DragForm[];
  const blocks = [...new Set(points.map((point) => point.block))];
  const errorOf = new Map(names.map((name) => [name, [] as number[]]));
  const used: number[] = [];
  let readings = 0;
  if (blocks.length >= 4) {
    for (const block of blocks) {
      const train = points.filter((point) => point.block !== block);
      const fits = names.map((name) => fitForms[name](train, pairs));
      const held = points.filter((point) => point.block === block).flatMap((point) => {
        const drags = fits.map((fit) => fit?.(point) ?? null);
        return drags.every((drag): drag is number => drag !== null && Number.isFinite(drag))
          ? [drags.map((drag) => Math.abs(point.clean - drag * (point.clean - point.alone) - point.reading))]
          : [];
      });
      if (held.length === 0) continue;
      readings += held.length;
      used.push(block);
      names.forEach((name, k) => errorOf.get(name)!.push(mean(held.map((errors) => errors[k]!))));
    }
  }
  const n: Counts = { readings, blocks: used.length };
  const few = absent("too few blocks", `Leaving blocks out needs 4 blocks, got ${used.length}`, n);
  const over = (values: readonly number[]): Estimate => {
    if (used.length < 4) return few;
    const found = clusterRobustMean(values, used, { leastClusters: 4, clusterUnit: "blocks" });
    return isPresent(found) ? { ...found, n } : found;
  };
  const base = errorOf.get("the curve in use")!;
  const scores = names.map((form): FormScore => {
    const errors = errorOf.get(form)!;
    const difference = over(errors.map((error, i) => error - base[i]!));
    const verdict = form === "the curve in use"
      ? "the curve in use" as const
      : !isPresent(difference)
      ? "cannot tell" as const
      : difference.interval.low > 0
      ? "worse" as const
      : difference.interval.high < 0
      ? "better" as const
      : "cannot tell" as const;
    return { form, error: over(errors), difference, verdict };
  });
  return { scores, n };
}
