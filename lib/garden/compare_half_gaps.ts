import type { Garden, SettingsSet, Trial } from "../log/mod.ts";
import { type Absent, absent, type Counts, type Estimate, present, studentQuantile } from "../numbers/mod.ts";
import { comparisonTest, type Labelled, toPoint } from "./_comparison_test.ts";
import { fitDragPoints } from "./_drag_fit.ts";
import { countDistinct, leastGaps, type Usable, usable } from "./_group_points.ts";
import type { GardenDrift } from "./trial_drift.ts";

/** What may be compared: what the trials were read with, where the neighbour lay, or which of the two the coil met first. */
export type ComparedBy = "machine" | "settings" | "coil" | "side" | "order";

export interface CompareHalfGapsOptions {
  readonly drift: GardenDrift;
  readonly by: ComparedBy;
  /** Seed of the permutations drawn where there are too many to count. Default 1. */
  readonly seed?: number;
}

/** A permutation test within blocks. */
export interface ComparisonTest {
  /** Two-sided: how often labels dealt anew within blocks part the levels as far or further. */
  readonly p: number;
  /** The smallest p that these labels could have given. */
  readonly smallestP: number;
  readonly assignments: number;
  readonly exact: boolean;
  readonly blocks: number;
}

/** One pair of objects under two levels. */
export interface HalfGapComparison {
  readonly by: ComparedBy;
  readonly of: Readonly<Record<string, string>>;
  /** The difference is the second less the first. */
  readonly levels: readonly [string, string];
  readonly differenceCm: Estimate;
  readonly qDifferenceCm2: Estimate;
  readonly test: ComparisonTest | Absent;
  readonly n: Counts;
}

const coilWords = ({ coil }: SettingsSet): string =>
  coil === null ? "not described" : `${coil.winding} ${coil.length_cm} x ${coil.width_cm} cm`;

function levelOf(by: ComparedBy, row: Usable, trial: Trial, garden: Garden): string | null {
  switch (by) {
    case "machine":
      return trial.machine;
    case "settings":
      return trial.settings;
    case "coil": {
      const found = garden.settings.find((each) => each.settings === trial.settings);
      return found === undefined ? null : coilWords(found);
    }
    case "side":
      return trial.side === "left" || trial.side === "right" ? trial.side : null;
    case "order":
      return trial.side !== "left" && trial.side !== "right"
        ? null
        : (trial.side === "left") === (row.direction === "right")
        ? "neighbour first"
        : "target first";
  }
}

function labelled(garden: Garden, drift: GardenDrift, by: ComparedBy): Labelled[] {
  const trials = new Map(garden.trials.map((trial) => [trial.trial_id, trial]));
  const pairs = new Map(drift.pairs.map((pair) => [pair.key, pair]));
  const acrossArms = by === "machine" || by === "settings" || by === "coil";
  return drift.rows.filter(usable).flatMap((row): Labelled[] => {
    const pair = pairs.get(row.pair)!;
    const level = levelOf(by, row, trials.get(row.trial_id)!, garden);
    if (level === null) return [];
    const [machine, settings, discrimination, ...laying] = JSON.parse(pair.key) as (string | null)[];
    // Machines may be compared under whatever settings they had; settings and coils only on one machine, and silenced iron never with heard iron.
    const fixed = !acrossArms
      ? [machine, settings, discrimination]
      : by === "machine"
      ? [discrimination]
      : [machine, discrimination];
    const of = Object.fromEntries(
      Object.entries(pair.of).filter(([part]) => !(acrossArms && (part === "settings" || part === by))),
    );
    return [{
      row,
      level,
      group: pair.group,
      pair: JSON.stringify([...fixed, ...laying]),
      touching: pair.touching_cm ?? 0,
      of: { ...(by === "machine" ? {} : { machine: pair.machine }), ...of },
      arm: JSON.stringify([machine, settings]),
    }];
  });
}

/**
 * Compares the half gaps of one pair of objects under two levels of one thing: two machines, settings, coils, sides, or which object the coil meets first (from
 * `side` and the direction of the pass), each pair of levels in turn.
 *
 * The difference of the half gaps has a 95 % interval by the jackknife over blocks (t, blocks minus 1 degrees of freedom; Efron and Stein 1981, Annals of Statistics
 * 9:586-596): both curves are fitted again with each block left out. It is absent under four blocks, where a level has fewer than four gaps, or where a level has no half gap; the
 * difference of q stands for it then. The test deals the labels anew within each block that holds both levels, and asks how often the trials' pulls on q (their scores under
 * one common curve, both directions of a trial together; for "order" the two directions of each trial are swapped) part as far. Its smallest attainable p
 * is given with it. Depths are taken together.
 *
 * @param garden The log that `drift` was made from.
 *
 * @example
 * ```ts
 * import { compareHalfGaps, driftOfTrials, simulatedGarden } from "overiron";
 * const garden = simulatedGarden([{ name: "nail", qCm2: 60 }], { seed: 1, blocks: 6 });
 * const [only] = compareHalfGaps(garden, { drift: driftOfTrials(garden), by: "side" });
 * if (only!.levels.join() !== "left,right") throw new Error("wrong");
 * ```
 */
export function compareHalfGaps(
  garden: Garden,
  options: CompareHalfGapsOptions,
): readonly HalfGapComparison[] {
  const { drift, by, seed = 1 } = options;
  const all = labelled(garden, drift, by);
  const keys = [...new Set(all.map((each) => each.pair))], fits: Fits = new Map();
  return keys.flatMap((pair) => {
    const own = all.filter((each) => each.pair === pair);
    const levels = [...new Set(own.map((each) => each.level))].sort();
    return levels.flatMap((first, i) =>
      levels.slice(i + 1).map((second) => compare(own, all, { by, levels: [first, second], seed, fits }))
    );
  });
}

interface Chosen {
  readonly by: ComparedBy;
  readonly levels: readonly [string, string];
  readonly seed: number;
  readonly fits: Fits;
}

function compare(own: readonly Labelled[], all: readonly Labelled[], chosen: Chosen): HalfGapComparison {
  const { by, levels } = chosen;
  const used = own.filter((each) => levels.includes(each.level));
  const blocks = [...new Set(used.map((each) => each.row.block))];
  const n: Counts = {
    trials: new Set(used.map((each) => each.row.trial_id)).size,
    blocks: blocks.length,
    "blocks with both":
      blocks.filter((block) =>
        levels.every((level) => used.some((each) => each.row.block === block && each.level === level))
      ).length,
  };
  const of = used[0]!.of, touching = used[0]!.touching;
  const differences = intervals(own, all, { levels, blocks, touching, n, fits: chosen.fits });
  return { by, of, levels, ...differences, test: comparisonTest(used, chosen), n };
}

/** Fits of the pairs and levels that share one slope, each done once however many pairs ask for it. */
type Fits = Map<string, ReadonlyMap<string, number>>;

const nameOf = (each: Labelled): string => JSON.stringify([each.pair, each.level]);

function groupFit(
  all: readonly Labelled[],
  fits: Fits,
  group: string,
  left: string | null,
): ReadonlyMap<string, number> {
  const key = JSON.stringify([group, left]);
  const known = fits.get(key);
  if (known !== undefined) return known;
  const sharing = all.filter((each) => each.group === group && each.row.block !== left);
  const names = [...new Set(sharing.map(nameOf))];
  const kept = names.filter((name) =>
    countDistinct(sharing.filter((each) => nameOf(each) === name).map((each) => each.row.gap_cm)) >= leastGaps
  );
  const at = new Map(kept.map((name, i) => [name, i]));
  const blocks = [...new Set(sharing.map((each) => each.row.block))];
  const points = sharing.flatMap((each) => {
    const index = at.get(nameOf(each));
    return index === undefined ? [] : [toPoint(each, index, blocks)];
  });
  const fit = points.length > kept.length + 1
    ? fitDragPoints(points, kept.length, { covariance: false })
    : null;
  const found = new Map(
    fit?.converged ? kept.flatMap((name, i) => fit.free.includes(i) ? [[name, fit.q[i]!] as const] : []) : [],
  );
  fits.set(key, found);
  return found;
}

/** q of the pair under each level, fitted with the other pairs that share its slope; null where a fit does not settle. */
function levelFits(
  own: readonly Labelled[],
  all: readonly Labelled[],
  at: { readonly levels: readonly [string, string]; readonly left: string | null; readonly fits: Fits },
): [number, number] | null {
  const [a, b] = at.levels.map((level) => {
    const target = own.find((each) => each.level === level)!;
    return groupFit(all, at.fits, target.group, at.left).get(nameOf(target));
  });
  return a === undefined || b === undefined ? null : [a, b];
}

function intervals(
  own: readonly Labelled[],
  all: readonly Labelled[],
  at: {
    readonly levels: readonly [string, string];
    readonly blocks: readonly string[];
    readonly touching: number;
    readonly n: Counts;
    readonly fits: Fits;
  },
): Pick<HalfGapComparison, "differenceCm" | "qDifferenceCm2"> {
  const { levels, blocks, touching, n, fits } = at;
  const no = (word: string, reason: string) => absent(word, reason, n);
  const both = (word: string, reason: string) => ({
    differenceCm: no(word, reason),
    qDifferenceCm2: no(word, reason),
  });
  for (const level of levels) {
    const gaps = countDistinct(own.filter((each) => each.level === level).map((each) => each.row.gap_cm));
    if (gaps < leastGaps) {
      return both("too few gaps", `A curve needs ${leastGaps} distinct gaps, ${level} has ${gaps}`);
    }
  }
  if (blocks.length < 4) return both("too few blocks", `An interval needs 4 blocks, got ${blocks.length}`);
  const whole = levelFits(own, all, { levels, left: null, fits });
  const without = blocks.map((block) => levelFits(own, all, { levels, left: block, fits }));
  if (whole === null || without.some((each) => each === null)) {
    return both("no fit", "A curve could not be fitted under each level, or not without one of the blocks");
  }
  const df = blocks.length - 1, t = studentQuantile(0.975, df);
  const method = `jackknife over blocks, t, ${df} df`;
  const jackknifed = (value: (q: readonly [number, number]) => number): Estimate => {
    const values = without.map((each) => value(each!));
    const centre = values.reduce((a, b) => a + b, 0) / values.length;
    const variance = df / blocks.length * values.reduce((sum, each) => sum + (each - centre) ** 2, 0);
    const half = t * Math.sqrt(variance), middle = value(whole);
    return present(middle, { low: middle - half, high: middle + half, level: 0.95, method }, n);
  };
  const has = (q: readonly [number, number]) => q[0] > touching ** 2 && q[1] > touching ** 2;
  const qDifferenceCm2 = jackknifed(([a, b]) => b - a);
  return {
    qDifferenceCm2,
    differenceCm: has(whole) && without.every((each) => has(each!))
      ? jackknifed(([a, b]) => Math.sqrt(b) - Math.sqrt(a))
      : no("no half gap", "Under one of the two the fitted drag stays under one half even when touching"),
  };
}
