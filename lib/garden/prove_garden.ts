import { chance, type Estimate, isPresent, median, proportionInterval } from "../numbers/mod.ts";
import type { DragCurve } from "./drag_curve.ts";
import { driftOfTrials } from "./drift_of_trials.ts";
import { fitDragCurves } from "./fit_drag_curves.ts";
import { physicsGarden } from "./_physics_garden.ts";
import { SIMULATED_TOUCHING_CM, simulatedGarden } from "./simulated_garden.ts";

export interface ProveGardenOptions {
  /** Simulated gardens of each kind. Default 1000. */
  readonly gardens?: number;
  /** Default 1. */
  readonly seed?: number;
  /** Called with the gardens done and all of them. */
  readonly onProgress?: (done: number, all: number) => void;
}

/** A count of something among others, with Wilson's 95 % interval of the share. */
export interface ProvenShare {
  readonly count: number;
  readonly of: number;
  readonly share: number;
  readonly low: number;
  readonly high: number;
}

/** The answers given for pairs whose true q lies in one range. */
export interface ProvenAnswers {
  readonly fromCm2: number;
  readonly toCm2: number;
  readonly pairs: number;
  readonly halfGap: number;
  readonly never: number;
  readonly cannotTell: number;
  readonly intervals: number;
  readonly covered: number;
}

/** What one kind of garden showed. */
export interface ProvenKind {
  readonly form: "phasor" | "working" | "physics";
  readonly blocks: number;
  readonly trialsPerBlock: number;
  readonly gardens: number;
  /** 95 % intervals of q that hold the true q. */
  readonly covered: ProvenShare;
  /** Of pairs that have a half gap, and of those that have none. */
  readonly coveredWithHalfGap: ProvenShare;
  readonly coveredWithoutHalfGap: ProvenShare;
  /** Median of |half gap - true half gap| where one was said of a pair that has one. */
  readonly medianErrorCm: number | null;
  /** Gardens in which a half gap was said of a pair without one, and never of a pair with one. */
  readonly falseHalfGap: ProvenShare;
  readonly falseNever: ProvenShare;
  readonly answers: readonly ProvenAnswers[];
}

export interface GardenProof {
  readonly schema: "overiron-garden-proof/1";
  readonly seed: number;
  readonly gardens: number;
  readonly kinds: readonly ProvenKind[];
}

/** Two neighbours a garden: one that mostly has a half gap, one that mostly has none. Ranges of q in cm2. */
const strongCm2 = [10, 100] as const, weakCm2 = [-50, 30] as const;
const binEdges = [-50, -35, -20, -10, -5, 0, 2.25, 5, 10, 20, 30, 45, 60, 80, 100];
const designs = [{ blocks: 5, trialsPerBlock: 12 }, { blocks: 14, trialsPerBlock: 13 }] as const;

const share = (count: number, of: number): ProvenShare => {
  if (of === 0) return { count, of, share: 0, low: 0, high: 1 };
  const { low, high } = proportionInterval(count, of);
  return { count, of, share: count / of, low, high };
};

interface Outcome {
  /** Null where there is no half gap and physics gives no q to go by. */
  readonly q: number | null;
  readonly touching: number;
  readonly has: boolean;
  readonly qEstimate: Estimate;
  readonly half: DragCurve["halfGapCm"];
}

/**
 * Tries the fit on simulated gardens whose truth is known: how often 95 % intervals of q hold it, how far half gaps are off, and how often an answer is
 * false.
 *
 * Gardens of 5 blocks of 12 trials and of 14 blocks of 13, controls among them, made by the working curve itself, by two phasors (each holds a
 * neighbour with q even between 10 and 100 cm2 and one between -50 and 30), and by the virtual garden's physics (a copper disc with two nails of chance sizes and tilts; true
 * half gaps without noise; q is known only where there is one). An interval counts where the fit gives one; where all drags lie near
 * 0 or 1 it gives none. Throws RangeError for a number of gardens below 1.
 *
 * @example
 * ```ts
 * import { proveGarden } from "overiron";
 * const proof = proveGarden({ gardens: 2 });
 * if (proof.kinds.length !== 6 || proof.kinds[0]!.gardens !== 2) throw new Error("wrong");
 * ```
 */
export function proveGarden(options: ProveGardenOptions = {}): GardenProof {
  const { gardens = 1000, seed = 1, onProgress = () => {} } = options;
  if (!Number.isSafeInteger(gardens) || gardens < 1) {
    throw new RangeError(`Cannot prove: gardens must be a whole number of 1 or above, got ${gardens}`);
  }
  const forms = ["working", "phasor", "physics"] as const;
  let done = 0;
  const kinds = forms.flatMap((form) =>
    designs.map((design): ProvenKind => {
      const runs = Array.from({ length: gardens }, (_, replicate) => {
        const run = form === "physics"
          ? physicsRun({ seed, replicate, ...design })
          : simulatedRun({ seed, replicate, form, ...design });
        onProgress(++done, forms.length * designs.length * gardens);
        return run;
      });
      return { form, ...design, gardens, ...judged(runs) };
    })
  );
  return { schema: "overiron-garden-proof/1", seed, gardens, kinds };
}

interface Run {
  readonly seed: number;
  readonly replicate: number;
  readonly blocks: number;
  readonly trialsPerBlock: number;
}

function simulatedRun({ form, ...at }: Run & { readonly form: "working" | "phasor" }): readonly Outcome[] {
  const draw = chance(at.seed, "garden/proof", at.replicate);
  const within = ([low, high]: readonly [number, number]) => low + (high - low) * draw.next();
  const laid = [{ name: "strong", qCm2: within(strongCm2) }, { name: "weak", qCm2: within(weakCm2) }];
  const curves = fitDragCurves(driftOfTrials(simulatedGarden(laid, { ...at, form })));
  return laid.map(({ name, qCm2 }): Outcome => {
    const curve = curves.find((each) => each.pair.neighbour === name)!;
    const touching = SIMULATED_TOUCHING_CM;
    return { q: qCm2, touching, has: qCm2 > touching ** 2, qEstimate: curve.qCm2, half: curve.halfGapCm };
  });
}

function physicsRun(at: Run): readonly Outcome[] {
  const { garden, pairs } = physicsGarden(at);
  const curves = fitDragCurves(driftOfTrials(garden));
  return pairs.flatMap(({ name, halfGapCm }): Outcome[] => {
    const curve = curves.find((each) => each.pair.neighbour === name)!;
    if (halfGapCm === null) return [];
    const has = halfGapCm !== "never", touching = curve.touching_cm;
    return [{
      q: has ? (halfGapCm + touching) ** 2 : null,
      touching,
      has,
      qEstimate: curve.qCm2,
      half: curve.halfGapCm,
    }];
  });
}

function judged(
  runs: readonly (readonly Outcome[])[],
): Omit<ProvenKind, "form" | "blocks" | "trialsPerBlock" | "gardens"> {
  const all = runs.flat();
  const has = (each: Outcome) => each.has;
  const covers = (each: Outcome) =>
    each.q !== null && isPresent(each.qEstimate) && each.qEstimate.interval.low <= each.q &&
    each.q <= each.qEstimate.interval.high;
  const coverage = (of: readonly Outcome[]) => {
    const given = of.filter((each) => each.q !== null && isPresent(each.qEstimate));
    return share(given.filter(covers).length, given.length);
  };
  const word = (each: Outcome) => isPresent(each.half) ? "half gap" : each.half.absent;
  const errors = all.flatMap((each) =>
    isPresent(each.half) && has(each) && each.q !== null
      ? [Math.abs(each.half.value - (Math.sqrt(each.q) - each.touching))]
      : []
  );
  const gardensWith = (test: (each: Outcome) => boolean) =>
    share(runs.filter((run) => run.some(test)).length, runs.length);
  return {
    covered: coverage(all),
    coveredWithHalfGap: coverage(all.filter(has)),
    coveredWithoutHalfGap: coverage(all.filter((each) => !has(each))),
    medianErrorCm: errors.length > 0 ? median(errors) : null,
    falseHalfGap: gardensWith((each) => !has(each) && word(each) === "half gap"),
    falseNever: gardensWith((each) => has(each) && word(each) === "never"),
    answers: binEdges.slice(1).map((to, i) => {
      const own = all.filter((each) => each.q !== null && each.q >= binEdges[i]! && each.q < to);
      const count = (answer: string) => own.filter((each) => word(each) === answer).length;
      const intervals = own.filter((each) => isPresent(each.qEstimate));
      return {
        fromCm2: binEdges[i]!,
        toCm2: to,
        pairs: own.length,
        halfGap: count("half gap"),
        never: count("never"),
        cannotTell: own.length - count("half gap") - count("never"),
        intervals: intervals.length,
        covered: intervals.filter(covers).length,
      };
    }),
  };
}
