import type { Garden, Passes, Trial } from "../log/mod.ts";
import { interquartileRange, median } from "../numbers/mod.ts";
import { fillBlanks, groupKey, layingParts, pairKey, touchingDistanceCm } from "./_as_laid.ts";
import { controlFinder, middleOf } from "./_controls.ts";
import { mixedGapUnits } from "./_gap_units.ts";
import { readingTolerance } from "./reading_tolerance.ts";
import type { Direction, GardenDrift, LaidPair, SetAside, SilentTrial, TrialDrift } from "./trial_drift.ts";

const directions: readonly Direction[] = ["right", "left"];

const byText = (a: string, b: string): number => a < b ? -1 : a > b ? 1 : 0;

function groupBy<T>(items: readonly T[], key: (item: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const item of items) {
    const k = key(item);
    const group = groups.get(k);
    if (group) group.push(item);
    else groups.set(k, [item]);
  }
  return groups;
}

/** Pairs in order of machine, target, neighbour; `of` names only what is needed to tell them apart. */
function laidPairs(garden: Garden, together: readonly Trial[]): LaidPair[] {
  const first = new Map<string, Trial[]>(groupBy(together, pairKey));
  const named = groupBy(
    [...first.values()].map((trials) => trials[0]!),
    (trial) => JSON.stringify([trial.machine, trial.target, trial.neighbour]),
  );
  const pairs = [...first].map(([key, trials]): LaidPair => {
    const trial = trials[0]!;
    const like = named.get(JSON.stringify([trial.machine, trial.target, trial.neighbour]))!.map(layingParts);
    const own = Object.entries(layingParts(trial)).filter(([part, value]) =>
      like.some((each) => each[part] !== value)
    );
    const touching = trials.map(touchingDistanceCm);
    return {
      key,
      group: groupKey(trial),
      machine: trial.machine,
      target: trial.target!,
      neighbour: trial.neighbour!,
      kind: trial.neighbour_kind,
      of: {
        machine: trial.machine,
        target: trial.target!,
        neighbour: trial.neighbour!,
        ...Object.fromEntries(own),
      },
      step: garden.machines.find((each) => each.machine === trial.machine)?.scale.step ?? null,
      touching_cm: touching.some((each) => each === null) ? null : median(touching as number[]),
      trials: trials.length,
    };
  });
  return pairs.sort((a, b) => byText(JSON.stringify(a.of), JSON.stringify(b.of)));
}

/** Spread of the target alone about each trial and direction's own median, pooled by group; from four readings on. */
function cleanSpreads(targetAlone: readonly Trial[]): Map<string, number> {
  const spreads = new Map<string, number>();
  for (const [group, trials] of groupBy(targetAlone, groupKey)) {
    const residuals = trials.flatMap((trial) =>
      directions.flatMap((direction) => {
        const passes: Passes | null = trial[direction];
        const middle = middleOf(passes);
        return passes === null || middle === null || passes.kind !== "passes" || passes.readings.length < 2
          ? []
          : passes.readings.map((reading) => reading - middle);
      })
    );
    if (residuals.length >= 4) spreads.set(group, interquartileRange(residuals));
  }
  return spreads;
}

/** Drag, or why there is none. `apart` is clean minus the neighbour's reading. */
function dragOf(drift: number, apart: number | null, tolerance: number): Pick<TrialDrift, "drag" | "noDrag"> {
  const noDrag = apart === null
    ? "The neighbour was never read alone at this depth and coil height"
    : Math.abs(apart) <= 2 * tolerance
    ? "The clean reading and the neighbour's are too close to define a drag"
    : null;
  return { drag: noDrag === null ? drift / apart! : null, noDrag };
}

/** Pairs whose gaps look like two units, with words for it. */
function pairsInTwoUnits(together: readonly Trial[]): Map<string, string> {
  const found = new Map<string, string>();
  for (const [key, laid] of groupBy(together, pairKey)) {
    const gaps = groupBy(laid.filter((trial) => trial.gap_cm !== null), (trial) => trial.block);
    const words = mixedGapUnits(
      new Map([...gaps].map(([block, of]) => [block, of.map((trial) => trial.gap_cm!)])),
    );
    if (words !== null) found.set(key, words);
  }
  return found;
}

const whyUnused = (trial: Trial): string | null =>
  trial.side === "over" || trial.side === "under"
    ? `The neighbour lay ${trial.side} the target: the curve is about gaps in plan`
    : trial.gap_cm === null
    ? "No gap was logged"
    : trial.gap_cm < 0
    ? `A gap cannot be below 0, got ${trial.gap_cm}`
    : trial.right === null && trial.left === null
    ? "No reading was logged in either direction"
    : null;

/**
 * Gives drift and drag of every trial of a garden, by direction, from the readings of target and neighbour alone.
 *
 * One median a trial and direction stands for its passes. The clean reading and the neighbour's come from control trials of the same block
 * with the same machine, settings, depth and coil height; where the block has none, from weaker sources, each marked (`Evidence`).
 * Drag is left out, with the reason, where nobody read the neighbour alone, or where the two readings lie closer than twice the larger of
 * the clean repeat spread and two display steps. Silent directions are counted apart and are never readings. Cross passes are not used: after a
 * quarter turn the neighbour lies elsewhere on the coil's way. Coil height and medium left blank are taken from the block, sizes from the
 * object's name, where the log agrees on them. Missing numbers are null; nothing is NaN. The garden is left untouched.
 *
 * @example
 * ```ts
 * import { driftOfTrials } from "overiron";
 * const drift = driftOfTrials({ machines: [], settings: [], trials: [] });
 * if (drift.rows.length !== 0 || drift.counts.trials !== 0) throw new Error("wrong");
 * ```
 */
export function driftOfTrials(garden: Garden): GardenDrift {
  const trials = fillBlanks(garden.trials);
  const together = trials.filter((trial) => trial.target !== null && trial.neighbour !== null);
  const targetAlone = trials.filter((trial) => trial.target !== null && trial.neighbour === null);
  const neighbourAlone = trials.filter((trial) => trial.target === null && trial.neighbour !== null);
  const pairs = laidPairs(garden, together);
  const control = controlFinder(trials);
  const rows: TrialDrift[] = [], silent: SilentTrial[] = [], setAside: SetAside[] = [];
  const cleanSpread = cleanSpreads(targetAlone);
  const tolerance = new Map(pairs.map((pair) => [pair.key, readingTolerance({ cleanSpread }, pair)]));
  const units = pairsInTwoUnits(together);
  const notes = [...units].map(([key, words]) => {
    const pair = pairs.find((each) => each.key === key)!;
    return `${pair.target} beside ${pair.neighbour}: ${words}. Write all gaps in centimetres`;
  });
  for (const trial of together) {
    const pair = pairKey(trial);
    const reason = units.has(pair) ? "The gaps of this pair look like two units" : whyUnused(trial);
    if (reason !== null) {
      setAside.push({ trial_id: trial.trial_id, pair, direction: "both", reason });
      continue;
    }
    for (const direction of directions) {
      const passes = trial[direction];
      if (passes === null) continue;
      const at = { trial_id: trial.trial_id, block: trial.block, pair, direction, gap_cm: trial.gap_cm! };
      const reading = middleOf(passes);
      const clean = control(trial, direction, "target");
      if (reading === null) {
        if (passes.silent > 0) {
          const alone = clean === null ? null : control(trial, direction, "neighbour");
          const { depth_cm } = trial;
          silent.push({
            ...at,
            depth_cm,
            silent: passes.silent,
            controls: clean === null || alone === null ||
                Math.abs(clean.value - alone.value) <= 2 * tolerance.get(pair)!
              ? null
              : {
                clean: clean.value,
                cleanFrom: clean.evidence,
                neighbourReading: alone.value,
                neighbourFrom: alone.evidence,
              },
          });
        } else setAside.push({ trial_id: trial.trial_id, pair, direction, reason: "No pass was logged" });
      } else if (clean === null) {
        const why = "The target was never read alone at this depth and coil height";
        setAside.push({ trial_id: trial.trial_id, pair, direction, reason: why });
      } else {
        const alone = control(trial, direction, "neighbour");
        rows.push({
          ...at,
          depth_cm: trial.depth_cm,
          reading,
          passes: passes.readings.length,
          silent: passes.silent,
          clean: clean.value,
          cleanFrom: clean.evidence,
          neighbourReading: alone?.value ?? null,
          neighbourFrom: alone?.evidence ?? null,
          drift: clean.value - reading,
          ...dragOf(
            clean.value - reading,
            alone === null ? null : clean.value - alone.value,
            tolerance.get(pair)!,
          ),
        });
      }
    }
  }
  const blocks = new Set(trials.map((trial) => trial.block)).size;
  if (trials.length > 1 && blocks === trials.length) {
    notes.push(
      "Every trial is its own block: what all trials of one afternoon share is not seen, and intervals are too narrow",
    );
  }
  return {
    pairs,
    rows,
    silent,
    setAside,
    cleanSpread,
    counts: {
      trials: trials.length,
      blocks,
      together: together.length,
      targetAlone: targetAlone.length,
      neighbourAlone: neighbourAlone.length,
      empty: trials.length - together.length - targetAlone.length - neighbourAlone.length,
    },
    notes,
  };
}
