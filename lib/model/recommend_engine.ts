import { absent, type Estimate, isPresent } from "../numbers/mod.ts";
import { ratioBySite } from "./ratio_by_site.ts";
import type { EngineScore } from "./score_engine.ts";

/** One engine beside the best: the mean of its loss minus the best's, signal by signal. */
export interface EngineDifference {
  readonly name: string;
  /** Nats a signal; above 0 means worse than the best. Absent for the best itself. */
  readonly worseBy: Estimate;
  /** Whether the whole interval lies above 0. */
  readonly clearlyWorse: boolean;
  /** Nats a signal above the recommended engine. Absent for the recommended itself. */
  readonly aboveRecommended: Estimate;
  /** Whether that whole interval lies above 0. */
  readonly clearlyAboveRecommended: boolean;
}

/** Which engine to use, and why. */
export interface Recommendation {
  /** The engine of the lowest log loss. */
  readonly best: string;
  /** The simplest engine not clearly worse than the best. */
  readonly recommended: string;
  /** Engines from simplest to least simple, as they were given. */
  readonly differences: readonly EngineDifference[];
  /** One plain sentence. */
  readonly reason: string;
}

/**
 * Recommends the simplest engine that is not clearly worse than the best one.
 *
 * `scores` come from the same signals on the same folds, ordered from the simplest engine to the least simple. Engines are
 * compared by the mean difference of their log losses, signal by signal, with an interval by site: an engine is clearly
 * worse when the whole interval of its difference to the best lies above 0. Where sites are too few for an interval nothing
 * is clearly worse. The best is chosen on the same signals, so its lead is a little flattered: that favours no simple engine.
 *
 * Throws RangeError for no scores or different numbers of signals.
 *
 * @example
 * ```ts
 * import { recommendEngine } from "overiron";
 * let message = "";
 * try {
 *   recommendEngine([], { site: new Int32Array(0) });
 * } catch (error) {
 *   message = (error as Error).message;
 * }
 * if (!message.includes("need 1 engine")) throw new Error(message);
 * ```
 */
export function recommendEngine(
  scores: readonly EngineScore[],
  options: { readonly site: Int32Array; readonly groups?: string },
): Recommendation {
  const { site, groups = "sites" } = options;
  if (scores.length === 0) throw new RangeError("Cannot recommend: need 1 engine or more, got 0");
  if (scores.some((score) => score.losses.length !== site.length)) {
    throw new RangeError(`Cannot recommend: every engine needs ${site.length} losses`);
  }
  const mean = (score: EngineScore) => score.losses.reduce((sum, loss) => sum + loss, 0) / site.length;
  let best = scores[0]!;
  for (const score of scores) if (mean(score) < mean(best) - 1e-12) best = score;
  const one = new Float64Array(site.length).fill(1);
  const n = { signals: site.length, [groups]: new Set(site).size };
  const above = (score: EngineScore, other: EngineScore): Estimate =>
    score === other
      ? absent("nothing: the others stand against it", "Every other engine is measured against this one", n)
      : ratioBySite(score.losses.map((loss, i) => loss - other.losses[i]!), one, site, { groups });
  const clear = (estimate: Estimate) => isPresent(estimate) && estimate.interval.low > 0;
  const chosen = scores.find((score) => !clear(above(score, best)))!;
  const differences = scores.map((score): EngineDifference => {
    const worseBy = above(score, best), aboveRecommended = above(score, chosen);
    return {
      name: score.name,
      worseBy,
      clearlyWorse: clear(worseBy),
      aboveRecommended,
      clearlyAboveRecommended: clear(aboveRecommended),
    };
  });
  const recommended = chosen.name;
  const reason = recommended === best.name
    ? `${best.name} has the lowest log loss, and every simpler engine is clearly worse`
    : `${recommended} is the simplest engine that is not clearly worse than ${best.name}, the one of lowest log loss`;
  return { best: best.name, recommended, differences, reason };
}
